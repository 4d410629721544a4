"""From a build to its results, in a fixed and visible order."""
