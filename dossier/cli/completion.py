"""``dossier completion``: a completion script for bash, zsh or fish, made from the argument parser."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from dossier.cli.exit_codes import Exit
from dossier.frozen import dataclass

_FILE, _DIRECTORY = "<file>", "<directory>"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("shell", choices=tuple(SHELLS), help="which shell")
    parser.epilog = f"{_HOW}\n{parser.epilog}"


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from dossier.cli.main import parser

    print(SHELLS[arguments.shell](tuple(_commands(parser()))), end="")
    return Exit.OK


@dataclass(frozen=True, slots=True)
class _Option:
    """An option, with the words that may follow it: none for a flag, or files, or anything (empty text)."""

    names: tuple[str, ...]
    help: str
    takes: bool
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Command:
    name: str
    help: str
    options: tuple[_Option, ...]
    words: tuple[str, ...]  # what its own arguments may be


def _commands(parser: argparse.ArgumentParser) -> Iterator[_Command]:
    inner = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    for name, sub in inner.choices.items():
        options = tuple(
            _Option(tuple(a.option_strings), a.help or "", a.nargs != 0, _values(a))
            for a in sub._actions
            if a.option_strings
        )
        words = tuple(word for a in sub._actions if not a.option_strings for word in _arguments(name, a))
        yield _Command(name, sub.description or "", options, words)


def _values(action: argparse.Action) -> tuple[str, ...]:
    if action.nargs == 0:
        return ()
    if action.choices:
        return tuple(str(choice) for choice in action.choices)
    if action.metavar == "DIR":
        return (_DIRECTORY,)
    return (_FILE,) if action.type is Path else ()


def _arguments(command: str, action: argparse.Action) -> tuple[str, ...]:
    """Words a command's own argument may be: its choices, known names, or files."""
    if action.choices:
        return tuple(str(choice) for choice in action.choices)
    if command == "field":
        from dossier.buildfile.fields import ANY, every_field

        names = (".".join(part for part in path if part != ANY) for path in every_field() if path[-1] != ANY)
        return tuple(dict.fromkeys(names))
    if command == "finding":
        from dossier.findings.every import RULES

        return tuple(rule.code for rule in RULES)
    return (_FILE,) if action.type is Path else ()


def _bash(commands: tuple[_Command, ...]) -> str:
    cases, values = [], []
    for command in commands:
        options = " ".join(name for option in command.options for name in option.names)
        plain = " ".join(word for word in command.words if word != _FILE)
        files = 'COMPREPLY+=( $(compgen -f -- "$word") )' if _FILE in command.words else ""
        cases.append(
            f"    {command.name})\n"
            f'      if [[ $word == -* ]]; then COMPREPLY=( $(compgen -W "{options}" -- "$word") )\n'
            f'      else COMPREPLY=( $(compgen -W "{plain}" -- "$word") ); {files or ":"}; fi ;;\n'
        )
        for option in command.options:
            if not option.takes:
                continue
            if option.words == (_DIRECTORY,):
                how = 'compgen -d -- "$word"'
            elif option.words == (_FILE,):
                how = 'compgen -f -- "$word"'
            else:
                how = f'compgen -W "{" ".join(option.words)}" -- "$word"'
            named = "|".join(f"{command.name}:{name}" for name in option.names)
            values.append(f"    {named}) COMPREPLY=( $({how}) ); return ;;\n")
    names = " ".join(command.name for command in commands)
    return (
        "# bash completion for dossier\n"
        "_dossier() {\n"
        '  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command=${COMP_WORDS[1]}\n'
        "  compopt -o filenames 2>/dev/null\n"
        "  if (( COMP_CWORD == 1 )); then\n"
        f'    COMPREPLY=( $(compgen -W "{names} --help --version" -- "$word") ); return\n'
        "  fi\n"
        '  case "$command:$before" in\n' + "".join(values) + "  esac\n"
        '  case "$command" in\n' + "".join(cases) + "  esac\n}\ncomplete -F _dossier dossier\n"
    )


def _zsh(commands: tuple[_Command, ...]) -> str:
    lines = [
        "#compdef dossier",
        "_dossier() {",
        "  local -a commands",
        "  commands=(" + " ".join(_quoted(f"{c.name}:{c.help}") for c in commands) + ")",
        "  if (( CURRENT == 2 )); then _describe command commands; return; fi",
        "  case $words[2] in",
    ]
    for command in commands:
        specs = []
        for option in command.options:
            for name in option.names:
                value = f":value:{_zsh_values(option.words)}" if option.takes else ""
                specs.append(_quoted(f"{name}[{_zsh_text(option.help)}]{value}"))
        specs.append(_quoted(f"*:argument:{_zsh_values(command.words)}"))
        lines.append(f"    {command.name}) shift words; (( CURRENT-- )); _arguments -s {' '.join(specs)} ;;")
    return "\n".join([*lines, "  esac", "}", 'compdef _dossier dossier', ""])


def _zsh_values(words: tuple[str, ...]) -> str:
    if words == (_FILE,):
        return "_files"
    return "_files -/" if words == (_DIRECTORY,) else f"({' '.join(words)})"


def _zsh_text(text: str) -> str:
    return text.replace("[", "(").replace("]", ")").replace(":", " ")


def _fish(commands: tuple[_Command, ...]) -> str:
    lines = ["# fish completion for dossier", "complete -c dossier -f"]
    for command in commands:
        lines.append(f"complete -c dossier -n __fish_use_subcommand -a {command.name} -d {_quoted(command.help)}")
        seen = f"-n '__fish_seen_subcommand_from {command.name}'"
        for option in command.options:
            names = " ".join(f"-l {n[2:]}" if n.startswith("--") else f"-s {n[1:]}" for n in option.names)
            takes = ""
            if option.takes:
                files = option.words in ((_FILE,), (_DIRECTORY,))
                takes = " -r -F" if files else f" -x -a {_quoted(' '.join(option.words))}"
            lines.append(f"complete -c dossier {seen} {names}{takes} -d {_quoted(option.help)}")
        if command.words == (_FILE,):
            lines.append(f"complete -c dossier {seen} -F")
        elif command.words:
            lines.append(f"complete -c dossier {seen} -a {_quoted(' '.join(command.words))}")
    return "\n".join([*lines, ""])


def _quoted(text: str) -> str:
    """In single quotes, for any of the three shells."""
    return "'" + text.replace("'", "’") + "'"


SHELLS = {"bash": _bash, "zsh": _zsh, "fish": _fish}
_HOW = """how to use it:
  bash   mkdir -p ~/.local/share/bash-completion/completions
         dossier completion bash > ~/.local/share/bash-completion/completions/dossier
  zsh    mkdir -p ~/.zfunc                                (a folder of your fpath)
         dossier completion zsh > ~/.zfunc/_dossier
  fish   mkdir -p ~/.config/fish/completions
         dossier completion fish > ~/.config/fish/completions/dossier.fish
"""
