#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Make what describes the command line of what the command says of itself: describe.py FORM OPTIONS.json [TEMPLATE] OUTPUT

FORM is bash, zsh or fish, for completion, or man, which fills a template: .\\" SYNOPSIS, and .\\" OPTIONS OF VERB.
"""

import json
import re
import shlex
import sys

TAKES = ["wav", "flac", "w64", "rf64", "caf"]
HEAD = "# SPDX-FileCopyrightText: 2026 The Fronthash contributors\n# SPDX-License-Identifier: ISC\n\n"
GLOBAL = [("--help", "List the verbs"), ("--version", "Name the version")]


def endings(name):
    """Of files that fit a value or an argument of this name: a list, empty for any file; None for no file."""
    if name.startswith("FILE.") or name in ("TAKE", "SHOW"):
        return {"TAKE": TAKES, "SHOW": ["show"]}.get(name) or [name[len("FILE.") :]]
    return [] if name in ("FILE", "STEM") else None


def short(option):
    """The first sentence of the help, or what stands before a list that completion offers anyway."""
    text = re.split(r"(?<=\w)[.;] |:(?= )" if option["choices"] else r"(?<=\w)[.;] ", option["help"])[0]
    return text.rstrip(".")


def options(verb):
    return verb["options"] + [{"name": "help", "value": None, "help": "Explain the verb.", "repeats": False, "choices": []}]


BASH = r"""# Bash completion for fronthash: verbs, options, and the values of options

_fronthash_words() # that fit
{
  mapfile -t COMPREPLY < <(compgen -W "$*" -- "$word")
}

_fronthash_files() # with these endings, or any; and folders
{
  compopt -o filenames
  mapfile -t COMPREPLY < <(
    (($#)) || compgen -f -- "$word"
    for ending; do compgen -f -X "!*.$ending" -- "$word"; done
    (($#)) && compgen -d -- "$word")
}

_fronthash()
{
  local word=$2 option=$3 verb=${COMP_WORDS[1]}
  if [[ $word == = ]]; then
    word=
  elif [[ $option == = ]]; then
    option=${COMP_WORDS[COMP_CWORD - 2]} # --name=value comes as three words
  fi
  COMPREPLY=()
  if ((COMP_CWORD == 1)); then
    _fronthash_words @VERBS@
    return
  fi
  case "$verb $option" in
@VALUES@
  esac
  if [[ $word == -* ]]; then
    case $verb in
@OPTIONS@
    esac
    return
  fi
  case $verb in
@FILES@
  esac
}

complete -F _fronthash fronthash
"""


def bash_value(option):
    if option["value"] == "PORT=VALUE":
        return "_fronthash_words %s; compopt -o nospace" % " ".join(name + "=" for name in option["choices"])
    if option["choices"]:
        return "_fronthash_words " + " ".join(option["choices"])
    if option["value"] == "DIR":
        return "compopt -o filenames; mapfile -t COMPREPLY < <(compgen -d -- \"$word\")"
    files = endings(option["value"])
    return ":" if files is None else " ".join(["_fronthash_files"] + files)


def bash(verbs):
    values = {}
    for verb in verbs:
        for option in options(verb):
            if option["value"]:
                values.setdefault(bash_value(option), []).append('"%s --%s"' % (verb["name"], option["name"]))
    offered = ["%s) _fronthash_words %s ;;" % (v["name"], " ".join("--" + o["name"] for o in options(v))) for v in verbs]
    files = ["%s) _fronthash_files %s ;;" % (v["name"], " ".join(endings(v["arguments"]))) for v in verbs if v["arguments"]]
    filled = BASH.replace("@VERBS@", " ".join([verb["name"] for verb in verbs] + [name for name, _ in GLOBAL]))
    filled = filled.replace(
        "@VALUES@", "\n".join("    %s)\n      %s\n      return\n      ;;" % (" | \\\n      ".join(on), do) for do, on in values.items())
    )
    filled = filled.replace("@OPTIONS@", "\n".join("      " + line for line in offered))
    return HEAD + filled.replace("@FILES@", "\n".join("    " + line for line in files))


def zsh_files(suffixes):
    any_of = "(%s)" % "|".join(suffixes) if len(suffixes) > 1 else "".join(suffixes)  # of one, the brackets would qualify
    return '_files -g "*.(#i)%s"' % any_of if suffixes else "_files"


def zsh_value(option):
    if option["value"] == "PORT=VALUE":
        return "{compadd -S = -- %s}" % " ".join(option["choices"])
    if option["choices"]:
        return "(%s)" % " ".join(option["choices"])
    if option["value"] == "DIR":
        return "_files -/"
    files = endings(option["value"])
    return " " if files is None else zsh_files(files)


def zsh_option(option):
    said = "[%s]" % re.sub(r"([\[\]:\\])", r"\\\1", short(option))
    value = ":%s:%s" % (option["value"], zsh_value(option)) if option["value"] else ""
    return shlex.quote(("*" if option["repeats"] else "") + "--" + option["name"] + ("=" if value else "") + said + value)


def zsh(verbs):
    lines = ["#compdef fronthash", "", HEAD.rstrip(), "", "local -a verbs", "verbs=("]
    lines += ["  " + shlex.quote(verb["name"] + ":" + verb["summary"].replace(":", r"\:")) for verb in verbs]
    lines += [")", "if ((CURRENT == 2)); then"]
    lines += ["  _describe -t commands verb verbs"]
    lines += ["  _arguments " + " ".join(shlex.quote("%s[%s]" % pair) for pair in GLOBAL), "  return", "fi"]
    lines += ["shift words", "((CURRENT--))", "case $words[1] in"]
    for verb in verbs:
        parts = [zsh_option(option) for option in options(verb)]
        if verb["arguments"]:
            parts.append(shlex.quote(":%s:%s" % (verb["arguments"], zsh_files(endings(verb["arguments"])))))
        lines += ["  (%s)" % verb["name"], "    _arguments \\", *("      %s \\" % part for part in parts[:-1]), "      " + parts[-1]]
        lines += ["    ;;"]
    return "\n".join(lines + ["esac"]) + "\n"


def fish_quote(text):
    return "'%s'" % text.replace("\\", "\\\\").replace("'", "\\'")


def fish_files(suffixes):
    return " -k -x -a %s" % fish_quote("(__fish_complete_suffix %s)" % " ".join("." + one for one in suffixes))


def fish_value(option):
    if not option["value"]:
        return ""
    if option["choices"]:
        ending = "=" if option["value"] == "PORT=VALUE" else ""
        return " -x -a %s" % fish_quote(" ".join(name + ending for name in option["choices"]))
    if option["value"] == "DIR":
        return " -x -a '(__fish_complete_directories)'"
    files = endings(option["value"])
    return " -x" if files is None else fish_files(files) if files else " -r -F"


def fish(verbs):
    lines = ["function __fronthash_verb", "  set -l words (commandline -opc)", "  test \"$words[2]\" = \"$argv[1]\"", "end", ""]
    lines += ["complete -c fronthash -f"]
    first = "complete -c fronthash -n 'test (count (commandline -opc)) -eq 1'"
    lines += ["%s -a %s -d %s" % (first, verb["name"], fish_quote(verb["summary"])) for verb in verbs]
    lines += ["%s -l %s -d %s" % (first, name[2:], fish_quote(said)) for name, said in GLOBAL]
    for verb in verbs:
        on = "complete -c fronthash -n '__fronthash_verb %s'" % verb["name"]
        lines.append("")
        for option in options(verb):
            lines.append("%s -l %s%s -d %s" % (on, option["name"], fish_value(option), fish_quote(short(option))))
        if verb["arguments"]:
            lines.append(on + fish_files(endings(verb["arguments"])))
    return HEAD + "\n".join(lines) + "\n"


def roff(text):
    """Text with names of options and arguments set apart, one sentence a line."""
    text = text.replace("\\", "\\e").replace("-", "\\-")
    text = re.sub(r"(?<![\w-])\\-\\-[a-z][a-z\\-]*[a-z]", lambda found: "\\fB%s\\fR" % found.group(0), text)
    text = re.sub(r"\b(TAKE|SHOW|NAME|TITLE|STEM)\b", r"\\fI\1\\fR", text)
    return re.sub(r"^(?=[.'])", r"\\&", re.sub(r"(?<=[\w)])\. (?=[A-Z\\])", ".\n", text), flags=re.MULTILINE)


def man_options(verb):
    for option in verb["options"]:
        name = "\\-\\-" + option["name"].replace("-", "\\-")
        yield ".TP"
        yield '.BI %s " %s"' % (name, option["value"].replace("-", "\\-")) if option["value"] else ".B " + name
        yield roff(option["help"])


def man_synopsis(verbs):
    for verb in verbs:
        yield ".B fronthash " + verb["name"]
        yield '.RI [ OPTION "]... " %s' % verb["arguments"] if verb["arguments"] else ".RI [ OPTION ]..."
        yield ".br"


def man(verbs, template):
    parts = {'.\\" SYNOPSIS': man_synopsis(verbs)}
    parts.update({'.\\" OPTIONS OF ' + verb["name"].upper(): man_options(verb) for verb in verbs})
    lines = []
    for line in template.splitlines():
        lines += parts.pop(line, [line])
    if parts:
        sys.exit("describe.py: the template lacks " + ", ".join(parts))
    return "\n".join(lines) + "\n"


def main():
    forms = {"bash": bash, "zsh": zsh, "fish": fish, "man": man}
    if len(sys.argv) < 4 or sys.argv[1] not in forms:
        sys.exit(__doc__)
    texts = []
    for name in sys.argv[2:-1]:
        with open(name, encoding="utf-8") as file:
            texts.append(file.read())
    made = forms[sys.argv[1]](json.loads(texts[0])["verbs"], *texts[1:])
    with open(sys.argv[-1], "w", encoding="utf-8") as file:
        file.write(made)


if __name__ == "__main__":
    main()
