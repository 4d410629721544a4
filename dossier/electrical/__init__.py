"""Pure functions of the electrical parts: SI in, SI out, one module for each kind of part.

Annotations name the scalar case. Functions that are plain arithmetic take numpy arrays of one shape just as well.
Temperatures are in degC and shaft speeds in r/min. Nothing is extrapolated beyond a published or stated value: such a
call raises an ``OutsideKnownError`` (see ``dossier.electrical.refusal``).
"""
