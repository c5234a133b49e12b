package main

import (
	"fmt"
	"strings"
)

// zshCompletion is a function for compinit, which may also be sourced. zsh quotes
// what it offers; words of the line are read by (Q), which runs nothing of them.
func zshCompletion(list []shellCommand) string {
	var at, values, arguments, showing strings.Builder
	for i, c := range list {
		fmt.Fprintf(&at, "  %s)\n    flags=(\n", singleQuoted(c.path))
		everywhere := false
		for _, f := range c.flags { // its own first
			if f.global && !everywhere {
				everywhere = true
				at.WriteString("    )\n    everywhere=(\n")
			}
			fmt.Fprintf(&at, "      %s\n", described("--"+f.word, f.usage))
		}
		at.WriteString("    )\n")
		if len(c.commands) > 0 {
			at.WriteString("    commands=(\n")
			for _, w := range c.commands {
				fmt.Fprintf(&at, "      %s\n", described(w.word, w.usage))
			}
			at.WriteString("    )\n")
		}
		at.WriteString("    ;;\n")
		for _, f := range c.flags {
			if !f.takes || i > 0 && f.global {
				continue
			}
			where := singleQuoted(c.path + " --" + f.word)
			if f.global {
				where = `*" --` + f.word + `"`
			}
			fmt.Fprintf(&values, "  %s) %s ;;\n", where, f.offer.assigned())
		}
		for n, o := range c.arguments {
			fmt.Fprintf(&arguments, "  %s) %s ;;\n", c.atArgument(n), o.assigned())
		}
		if c.showsFlags() {
			fmt.Fprintf(&showing, "%s | ", singleQuoted(c.path))
		}
	}
	return strings.NewReplacer("@AT@", at.String(), "@VALUES@", values.String(), "@ARGUMENTS@", arguments.String(),
		"@SHOWING@", strings.TrimSuffix(showing.String(), " | ")).Replace(zshScript)
}

const zshScript = `
# Fills flags, everywhere and commands with what may follow the words of a command.
_brinemark_at() {
  flags=() everywhere=() commands=()
  case "$1" in
@AT@  esac
}

# Fills values, kind, endings and column with what a flag takes. A flag that takes
# no value is an error.
_brinemark_value() {
  values=() kind="" endings=() column=""
  case "$1 $2" in
@VALUES@  *) return 1 ;;
  esac
}

# Fills the same with what an argument is.
_brinemark_argument() { # words of a command, how many arguments stand before it
  values=() kind="" endings=() column=""
  case "$1 $2" in
@ARGUMENTS@  esac
}

# Offers what the variables say.
_brinemark_offer() {
  local -a ids
  local file="$record"
  (( ${#values} )) && compadd -- "${values[@]}"
  if [[ -n "$column" ]]; then # COLUMN=VALUE
    if [[ "$PREFIX" != *=* ]]; then return; fi
    compset -P 1 '*='
  fi
  case "$kind" in
  bottle | meter)
    if [[ "$file" == "~/"* ]]; then file="$HOME/${file[3,-1]}"; fi
    ids=("${(@f)$(command brinemark completion ids "$kind" ${file:+"--logbook=$file"} 2>/dev/null </dev/null)}")
    ids=("${(@)ids:#}")
    (( ${#ids} )) && compadd -- "${ids[@]}"
    ;;
  file)
    if (( ${#endings} )); then _files -g "*(${(j:|:)endings})(-.)"; else _files; fi
    ;;
  folder) _files -/ ;;
  esac
}

_brinemark() {
  local at="" waiting="" word kind="" column="" only="" record="" i
  local -a flags everywhere commands values endings
  local -i count=0
  for ((i = 2; i < CURRENT; i++)); do
    word="${(Q)words[i]}"
    if [[ -n "$waiting" ]]; then
      if [[ "$waiting" == --logbook ]]; then record="$word"; fi
      waiting=""
    elif [[ -n "$only" || "$word" != -?* ]]; then
      _brinemark_at "$at"
      if (( ! ${commands[(I)${(b)word}:*]} )); then
        count+=1
      elif [[ "$word" != help ]]; then
        at="${at:+$at }$word"
      fi
    else
      case "$word" in
      --) only=1 ;;
      --logbook=*) record="${word#*=}" ;;
      --*=*) ;;
      *) if _brinemark_value "$at" "$word"; then waiting="$word"; fi ;;
      esac
    fi
  done

  if [[ -z "$waiting" && -z "$only" && "$PREFIX" == --*=* ]]; then
    waiting="${PREFIX%%=*}"
    compset -P 1 '*='
  fi
  if [[ -n "$waiting" ]]; then
    _brinemark_value "$at" "$waiting" || return 1
    _brinemark_offer
    return
  fi
  _brinemark_at "$at"
  if [[ "$PREFIX" == -* && -z "$only" ]]; then
    flags+=("${everywhere[@]}")
    _describe flag flags
    return
  fi
  (( ${#commands} )) && _describe command commands
  _brinemark_argument "$at" "$count"
  _brinemark_offer
  if [[ -z "$PREFIX" && -z "$only" ]]; then
    case "$at" in
    @SHOWING@) _describe flag flags ;;
    esac
  fi
}

if [[ "${funcstack[1]}" == _brinemark ]]; then
  _brinemark "$@"
elif (( $+functions[compdef] )); then
  compdef _brinemark brinemark
fi
`

// described is a word with what it means, as _describe wants it.
func described(word, usage string) string {
	return singleQuoted(strings.ReplaceAll(word, ":", `\:`) + ":" + usage)
}
