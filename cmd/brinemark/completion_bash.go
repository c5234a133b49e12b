package main

import (
	"fmt"
	"strings"
)

// bashCompletion needs nothing but bash, 3.2 or later: not its package
// bash-completion. It reads the line itself, since bash parts words at = and : as
// well, and evaluates nothing of it. What it offers is quoted as the line is.
func bashCompletion(list []shellCommand) string {
	var flags, below, values, arguments, showing strings.Builder
	for i, c := range list {
		path := singleQuoted(c.path)
		if own := c.ownFlags(); len(own) > 0 {
			fmt.Fprintf(&flags, "  %s) echo %s ;;\n", path, singleQuoted(strings.Join(own, " ")))
		}
		if len(c.commands) > 0 {
			fmt.Fprintf(&below, "  %s) echo %s ;;\n", path, singleQuoted(strings.Join(c.commandNames(), " ")))
		}
		for _, f := range c.flags {
			if !f.takes || i > 0 && f.global {
				continue
			}
			where := singleQuoted(c.path + " --" + f.word)
			if f.global {
				where = `*" --` + f.word + `"` // of every command
			}
			fmt.Fprintf(&values, "  %s) %s ;;\n", where, f.offer.assigned())
		}
		for n, o := range c.arguments {
			fmt.Fprintf(&arguments, "  %s) %s ;;\n", c.atArgument(n), o.assigned())
		}
		if c.showsFlags() {
			fmt.Fprintf(&showing, "%s | ", path)
		}
	}
	return strings.NewReplacer(
		"@FLAGS@", flags.String(), "@EVERYWHERE@", strings.Join(list[0].flagWords(), " "), "@COMMANDS@", below.String(),
		"@VALUES@", values.String(), "@ARGUMENTS@", arguments.String(), "@SHOWING@", strings.TrimSuffix(showing.String(), " | "), "@TICK@", "'`'",
	).Replace(bashScript)
}

const bashScript = `
_brinemark_flags() { # words of a command -> its own flags
  case "$1" in
@FLAGS@  esac
}

_brinemark_commands() { # words of a command -> the commands below it
  case "$1" in
@COMMANDS@  esac
}

# Fills values, kind, endings and column with what a flag takes. A flag that takes
# no value is an error.
_brinemark_value() { # words of a command, flag
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

# Fills words with what the words of a line mean, and open with the quote that is
# not closed. Nothing of it is run.
_brinemark_read() {
  local i c word="" begun=""
  words=() open=""
  for ((i = 0; i < ${#1}; i++)); do
    c="${1:i:1}"
    if [[ "$open" == "'" ]]; then
      if [[ "$c" == "'" ]]; then open=""; else word="$word$c"; fi
    elif [[ "$c" == "\\" ]]; then
      i=$((i + 1)) begun=1
      if [[ "$open" ]]; then
        case "${1:i:1}" in
        "\\" | "\"" | "\$" | @TICK@) ;;
        *) word="$word$c" ;;
        esac
      fi
      word="$word${1:i:1}"
    elif [[ "$open" ]]; then
      if [[ "$c" == "\"" ]]; then open=""; else word="$word$c"; fi
    elif [[ "$c" == "\"" || "$c" == "'" ]]; then
      open="$c" begun=1
    elif [[ "$c" == [[:space:]] ]]; then
      if [[ "$begun" ]]; then words=("${words[@]}" "$word"); fi
      word="" begun=""
    else
      word="$word$c" begun=1
    fi
  done
  words=("${words[@]}" "$word")
}

# The IDs on the record that the line names; none where there is none.
_brinemark_ids() { # bottle or meter
  local file="$record"
  if [[ "$file" == "~/"* ]]; then file="$HOME/${file#??}"; fi
  if [[ "$file" ]]; then set -- "$1" "--logbook=$file"; fi
  command brinemark completion ids "$@" 2>/dev/null </dev/null
}

# The folders and files that begin as a text does; the files with one of the
# endings, where there are any.
_brinemark_files() {
  local file ending
  while IFS= read -r file; do
    if [[ -d "$file" || "$file" == "~"* ]]; then
      echo "$file"
    elif [[ "$kind" == file ]]; then
      if [[ ${#endings[@]} == 0 ]]; then echo "$file"; continue; fi
      for ending in "${endings[@]}"; do
        if [[ "$file" == *"$ending" ]]; then echo "$file"; break; fi
      done
    fi
  done < <(compgen -f -- "$1")
}

# Offers a word, without what stays as it is typed, in the quotes it stands in.
_brinemark_offer() {
  local rest="" i c
  if [[ "$1" != "$current"* ]]; then return; fi
  case "$open" in
  "'") rest="${1:${#before}}"; if [[ "$rest" == *"'"* ]]; then return; fi ;;
  "\"")
    for ((i = ${#before}; i < ${#1}; i++)); do
      c="${1:i:1}"
      case "$c" in
      "!") return ;; # it cannot be quoted there
      "\\" | "\"" | "\$" | @TICK@) rest="$rest\\$c" ;;
      *) rest="$rest$c" ;;
      esac
    done
    ;;
  *) if [[ ${#1} -gt ${#before} ]]; then rest="$(printf %q "${1:${#before}}")"; fi ;;
  esac
  COMPREPLY=("${COMPREPLY[@]}" "$rest")
}

_brinemark() { # program, what bash replaces
  local line current before open quote words word i at="" waiting="" only="" count=0 record="" stays=""
  local values kind endings column
  local typed="${2-${COMP_WORDS[COMP_CWORD]}}"
  COMPREPLY=()
  if [[ "${COMP_LINE-}" ]]; then
    line="${COMP_LINE:0:COMP_POINT}"
  else
    line="${COMP_WORDS[0]}"
    for ((i = 1; i <= COMP_CWORD; i++)); do
      if [[ "${COMP_WORDS[i]}" != [=:] && "${COMP_WORDS[i-1]}" != [=:] ]]; then line="$line "; fi
      line="$line${COMP_WORDS[i]}"
    done
  fi
  if [[ "$typed" == [=:] ]]; then typed=""; fi
  _brinemark_read "${line%"$typed"}"
  before="${words[${#words[@]}-1]}" quote="$open"
  _brinemark_read "$line"
  current="${words[${#words[@]}-1]}" open="$quote"

  for ((i = 1; i < ${#words[@]} - 1; i++)); do
    word="${words[i]}"
    if [[ "$waiting" ]]; then
      if [[ "$waiting" == --logbook ]]; then record="$word"; fi
      waiting=""
    elif [[ "$only" || "$word" != -?* ]]; then
      if [[ " $(_brinemark_commands "$at") " != *" $word "* ]]; then
        count=$((count + 1))
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
  if [[ -z "$waiting" && -z "$only" && "$current" == --*=* ]]; then
    waiting="${current%%=*}" stays="${current%%=*}="
  fi

  if [[ "$waiting" ]]; then
    _brinemark_value "$at" "$waiting"
  elif [[ "$current" == -* && -z "$only" ]]; then
    kind="" column="" values=($(_brinemark_flags "$at") @EVERYWHERE@)
  else
    _brinemark_argument "$at" "$count"
    values=("${values[@]}" $(_brinemark_commands "$at"))
    if [[ -z "$current" && -z "$only" ]]; then
      case "$at" in
      @SHOWING@) values=("${values[@]}" $(_brinemark_flags "$at")) ;;
      esac
    fi
  fi
  for word in "${values[@]}"; do _brinemark_offer "$stays$word"; done

  word="${current#"$stays"}"
  if [[ "$column" ]]; then # COLUMN=VALUE
    if [[ "$word" != *=* ]]; then return; fi
    stays="$stays${word%%=*}=" word="${word#*=}"
  fi
  case "$kind" in
  bottle | meter)
    while IFS= read -r word; do _brinemark_offer "$stays$word"; done < <(_brinemark_ids "$kind")
    ;;
  file | folder)
    compopt -o filenames 2>/dev/null # bash quotes them, and puts / behind a folder
    while IFS= read -r word; do
      word="$stays$word"
      COMPREPLY=("${COMPREPLY[@]}" "${word:${#before}}")
    done < <(_brinemark_files "$word")
    ;;
  esac
}

complete -F _brinemark brinemark
`
