package main

import (
	"fmt"
	"strings"
)

// fishCompletion is a list of complete lines, each for the words it stands after.
// fish quotes what it offers, and reads the line without running anything of it.
func fishCompletion(list []shellCommand) string {
	var below, takes, lines strings.Builder
	for i, c := range list {
		if len(c.commands) > 0 {
			fmt.Fprintf(&below, "    case %s\n      printf '%%s\\n'", fishQuoted(c.path))
			for _, w := range c.commands {
				if w.word != "help" {
					below.WriteString(" " + w.word)
				}
			}
			below.WriteString("\n")
		}
		var flags []string
		for _, f := range c.flags {
			switch {
			case !f.takes || i > 0 && f.global:
			case f.global:
				flags = append(flags, "'* --"+f.word+"'")
			default:
				flags = append(flags, fishQuoted(c.path+" --"+f.word))
			}
		}
		if len(flags) > 0 {
			fmt.Fprintf(&takes, "    case %s\n      return 0\n", strings.Join(flags, " "))
		}
		fishLines(&lines, c)
	}
	return strings.NewReplacer("@COMMANDS@", below.String(), "@TAKES@", takes.String(), "@LINES@", lines.String()).Replace(fishScript)
}

// fishLines are the complete lines of one command.
func fishLines(lines *strings.Builder, c shellCommand) {
	at := func(function string, more ...string) string {
		return "complete -c brinemark -n " + fishQuoted(strings.Join(append([]string{function, fishQuoted(c.path)}, more...), " "))
	}
	for _, w := range c.commands {
		fmt.Fprintf(lines, "%s -a %s -d %s\n", at("__brinemark_at"), w.word, fishQuoted(w.usage))
	}
	for n, o := range c.arguments {
		many := ""
		if c.more && n == len(c.arguments)-1 {
			many = "more"
		}
		if offered := o.fish(); offered != "" {
			fmt.Fprintf(lines, "%s -a %s\n", at("__brinemark_argument", fmt.Sprint(n), many), fishQuoted(offered))
		}
	}
	for _, f := range c.flags {
		line := at("__brinemark_at")
		if f.global {
			if c.path != "" {
				continue
			}
			line = "complete -c brinemark" // everywhere
		}
		fmt.Fprintf(lines, "%s -l %s -d %s", line, f.word, fishQuoted(f.usage))
		switch offered := f.offer.fish(); {
		case offered != "":
			lines.WriteString(" -x -a " + fishQuoted(offered))
		case f.takes:
			lines.WriteString(" -x")
		}
		lines.WriteString("\n")
	}
	if !c.showsFlags() {
		return
	}
	for _, f := range c.flags {
		if !f.global {
			fmt.Fprintf(lines, "%s -a --%s -d %s\n", at("__brinemark_begins"), f.word, fishQuoted(f.usage))
		}
	}
}

// fish is what -a takes, which is read once more: words quoted again, or a call.
func (o offer) fish() string {
	call := ""
	switch {
	case len(o.words) > 0:
		out := make([]string, len(o.words))
		for i, w := range o.words {
			out[i] = fishQuoted(w)
		}
		return strings.Join(out, " ")
	case o.kind == nothing:
		return ""
	case o.kind == bottles, o.kind == meters:
		call = "__brinemark_ids " + string(o.kind)
	default:
		call = "__brinemark_files " + string(o.kind)
		for _, e := range o.endings {
			call += " " + fishQuoted(e)
		}
	}
	if o.column {
		call = "__brinemark_column " + call
	}
	return "(" + call + ")"
}

const fishScript = `
function __brinemark_commands # words of a command -> the commands below it
  switch "$argv[1]"
@COMMANDS@  end
end

function __brinemark_takes # words of a command, flag: whether a value follows it
  switch "$argv[1] $argv[2]"
@TAKES@  end
  return 1
end

# Prints the words of the command that the line before the cursor leads to, how
# many arguments stand behind them, and the record that it names.
function __brinemark_read
  set -l at
  set -l count 0
  set -l waiting
  set -l record
  set -l only
  for word in (commandline -opc)[2..-1]
    if test -n "$waiting"
      if test "$waiting" = --logbook
        set record $word
      end
      set waiting
      continue
    end
    if test -z "$only"
      switch "$word"
        case --
          set only yes
          continue
        case '--logbook=*'
          set record (string replace -- --logbook= '' $word)
          continue
        case '--*=*'
          continue
        case '-?*'
          if __brinemark_takes "$at" "$word"
            set waiting $word
          end
          continue
      end
      if contains -- "$word" (__brinemark_commands "$at")
        set at (string trim -- "$at $word")
        continue
      end
    end
    set count (math $count + 1)
  end
  printf '%s\n' "$at" $count "$record"
end

function __brinemark_at # whether it leads to this command
  set -l line (__brinemark_read)
  test "$line[1]" = "$argv[1]"
end

function __brinemark_argument # and an argument of this number stands there, or a later one
  set -l line (__brinemark_read)
  test "$line[1]" = "$argv[1]" -a $line[2] -ge $argv[2]; or return 1
  test $line[2] = $argv[2] -o "$argv[3]" = more
end

function __brinemark_begins # and nothing is typed yet
  __brinemark_at $argv[1]; and test -z "$(commandline -ct)"
end

function __brinemark_ids # bottle or meter -> the IDs on the record; none where there is none
  set -l line (__brinemark_read)
  set -l where
  if test -n "$line[3]"
    set where --logbook=(string replace -r '^~/' "$HOME/" -- $line[3])
  end
  command brinemark completion ids $argv[1] $where 2>/dev/null </dev/null
end

# The folders and files that begin as what is typed; files with one of the endings,
# where there are any.
function __brinemark_files # file or folder, endings
  set -l typed (string replace -r -- '^--[a-z-]*=' '' (commandline -ct))
  if set -q __brinemark_behind
    set typed (string replace -- $__brinemark_behind '' $typed)
  end
  for name in (complete -C "'' $typed" | string replace -r '\t.*' '')
    if string match -q -- '*/' $name
      echo $name
      continue
    end
    if test $argv[1] = folder
      continue
    end
    if not set -q argv[2]
      echo $name
      continue
    end
    for ending in $argv[2..-1]
      if string match -q -- "*$ending" $name
        echo $name
        break
      end
    end
  end
end

function __brinemark_column # a call -> what it prints, behind COLUMN= as it is typed
  set -l typed (string replace -r -- '^--[a-z-]*=' '' (commandline -ct))
  set -g __brinemark_behind (string match -r -- '^[^=]*=' $typed)
  if test -n "$__brinemark_behind"
    for word in ($argv)
      echo $__brinemark_behind$word
    end
  end
  set -e __brinemark_behind
end

complete -c brinemark -f
@LINES@`

// fishQuoted is a text in single quotes, as fish reads it.
func fishQuoted(text string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(text) + "'"
}
