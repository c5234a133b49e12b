package main

import (
	"fmt"
	"strings"
)

// bashCompletion needs nothing but bash, 3.2 or later: not its package
// bash-completion.
func bashCompletion(list []shellCommand) string {
	var b strings.Builder
	b.WriteString(`
_brinemark_flags() { # words of a command -> its flags
  case "$1" in
`)
	for _, c := range list {
		fmt.Fprintf(&b, "  %s) echo %s ;;\n", singleQuoted(c.path), singleQuoted(strings.Join(c.flagWords(), " ")))
	}
	b.WriteString(`  esac
}

_brinemark_commands() { # words of a command -> the commands below it
  case "$1" in
`)
	for _, c := range list {
		if len(c.commands) == 0 {
			continue
		}
		var names []string
		for _, w := range c.commands {
			names = append(names, w.word)
		}
		fmt.Fprintf(&b, "  %s) echo %s ;;\n", singleQuoted(c.path), singleQuoted(strings.Join(names, " ")))
	}
	b.WriteString(`  esac
}

# Fills values with the words that a flag takes; values=(/) stands for files. A
# flag that takes no value is an error.
_brinemark_value() { # words of a command, flag
  values=()
  case "$1 $2" in
`)
	for i, c := range list {
		for _, f := range c.flags {
			if !f.takes || i > 0 && f.global {
				continue
			}
			where := singleQuoted(c.path + " --" + f.word)
			if f.global {
				where = `*" --` + f.word + `"` // of every command
			}
			what := ":"
			switch {
			case len(f.words) > 0:
				what = "values=(" + quotedAll(f.words) + ")"
			case f.value == files:
				what = "values=(/)"
			}
			fmt.Fprintf(&b, "  %s) %s ;;\n", where, what)
		}
	}
	b.WriteString(`  *) return 1 ;;
  esac
}

_brinemark_arguments() { # words of a command -> what its arguments are
  case "$1" in
`)
	for _, c := range list {
		switch c.argument {
		case files:
			fmt.Fprintf(&b, "  %s) echo file ;;\n", singleQuoted(c.path))
		case folders:
			fmt.Fprintf(&b, "  %s) echo directory ;;\n", singleQuoted(c.path))
		}
	}
	b.WriteString(`  esac
}

_brinemark() {
  local current="${COMP_WORDS[COMP_CWORD]}" at="" waiting="" word i values=() only=""
  COMPREPLY=()
  for ((i = 1; i < COMP_CWORD; i++)); do
    word="${COMP_WORDS[i]}"
    if [[ "$word" == "=" ]]; then continue; fi # bash parts --flag=value
    if [[ -n "$waiting" ]]; then waiting=""; continue; fi
    case "$word" in
    --) only=1 ;;
    -*) if [[ -z "$only" ]] && _brinemark_value "$at" "$word"; then waiting="$word"; fi ;;
    *) if [[ " $(_brinemark_commands "$at") " == *" $word "* && "$word" != help ]]; then at="${at:+$at }$word"; fi ;;
    esac
  done
  if [[ "$current" == "=" ]]; then current=""; fi

  if [[ -n "$waiting" ]]; then
    _brinemark_value "$at" "$waiting"
  elif [[ "$current" == -* && -z "$only" ]]; then
    values=($(_brinemark_flags "$at"))
  else
    values=($(_brinemark_commands "$at"))
    case "$(_brinemark_arguments "$at")" in
    file) values=("${values[@]}" /) ;;
    directory) compopt -o filenames 2>/dev/null; local IFS=$'\n'; COMPREPLY=($(compgen -d -- "$current")); return ;;
    esac
  fi
  for word in "${values[@]}"; do
    if [[ "$word" == "/" ]]; then
      compopt -o filenames 2>/dev/null
      local IFS=$'\n'
      COMPREPLY=("${COMPREPLY[@]}" $(compgen -f -- "$current"))
    elif [[ "$word" == "$current"* ]]; then
      COMPREPLY=("${COMPREPLY[@]}" "$(printf %q "$word")")
    fi
  done
}

complete -F _brinemark brinemark
`)
	return b.String()
}
