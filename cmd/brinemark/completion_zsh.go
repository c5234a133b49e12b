package main

import (
	"fmt"
	"strings"
)

// zshCompletion is a function for compinit, which may also be sourced.
func zshCompletion(list []shellCommand) string {
	var b strings.Builder
	b.WriteString(`
# Fills flags, commands and kind with what may follow the words of a command.
_brinemark_at() {
  flags=() commands=() kind=""
  case "$1" in
`)
	for _, c := range list {
		fmt.Fprintf(&b, "  %s)\n    flags=(\n", singleQuoted(c.path))
		for _, f := range c.flags {
			fmt.Fprintf(&b, "      %s\n", described("--"+f.word, f.usage))
		}
		b.WriteString("    )\n")
		if len(c.commands) > 0 {
			b.WriteString("    commands=(\n")
			for _, w := range c.commands {
				fmt.Fprintf(&b, "      %s\n", described(w.word, w.usage))
			}
			b.WriteString("    )\n")
		}
		switch c.argument {
		case files:
			b.WriteString("    kind=file\n")
		case folders:
			b.WriteString("    kind=directory\n")
		}
		b.WriteString("    ;;\n")
	}
	b.WriteString(`  esac
}

# Fills values with the words that a flag takes, and kind with file where it is
# one. A flag that takes no value is an error.
_brinemark_value() {
  values=() kind=""
  case "$1 $2" in
`)
	for i, c := range list {
		for _, f := range c.flags {
			if !f.takes || i > 0 && f.global {
				continue
			}
			where := singleQuoted(c.path + " --" + f.word)
			if f.global {
				where = `*" --` + f.word + `"`
			}
			what := ":"
			switch {
			case len(f.words) > 0:
				what = "values=(" + quotedAll(f.words) + ")"
			case f.value == files:
				what = "kind=file"
			}
			fmt.Fprintf(&b, "  %s) %s ;;\n", where, what)
		}
	}
	b.WriteString(`  *) return 1 ;;
  esac
}

_brinemark() {
  local at="" waiting="" word kind="" only="" i
  local -a flags commands values
  for ((i = 2; i < CURRENT; i++)); do
    word="${words[i]}"
    if [[ -n "$waiting" ]]; then waiting=""; continue; fi
    case "$word" in
    --) only=1 ;;
    --*=*) ;;
    -*) if [[ -z "$only" ]] && _brinemark_value "$at" "$word"; then waiting="$word"; fi ;;
    help) ;;
    *)
      _brinemark_at "$at"
      if (( ${commands[(I)$word:*]} )); then at="${at:+$at }$word"; fi
      ;;
    esac
  done

  if [[ -z "$waiting" && -z "$only" && "$PREFIX" == --*=* ]]; then
    waiting="${PREFIX%%=*}"
    compset -P '*='
  fi
  if [[ -n "$waiting" ]]; then
    _brinemark_value "$at" "$waiting" || return 1
    if [[ -n "$kind" ]]; then _files; return; fi
    (( ${#values} )) && compadd -- "${values[@]}"
    return
  fi
  _brinemark_at "$at"
  if [[ "$PREFIX" == -* && -z "$only" ]]; then
    _describe flag flags
    return
  fi
  (( ${#commands} )) && _describe command commands
  case "$kind" in
  file) _files ;;
  directory) _files -/ ;;
  esac
}

if [[ "${funcstack[1]}" == _brinemark ]]; then
  _brinemark "$@"
elif (( $+functions[compdef] )); then
  compdef _brinemark brinemark
fi
`)
	return b.String()
}

// described is a word with what it means, as _describe wants it.
func described(word, usage string) string {
	return singleQuoted(strings.ReplaceAll(word, ":", `\:`) + ":" + usage)
}
