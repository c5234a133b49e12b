package main

import (
	"fmt"
	"strings"
)

// fishCompletion is a list of complete lines, each for the words it stands after.
func fishCompletion(list []shellCommand) string {
	var b strings.Builder
	b.WriteString(`
function __brinemark_commands # words of a command -> the commands below it
  switch "$argv[1]"
`)
	for _, c := range list {
		if len(c.commands) == 0 {
			continue
		}
		fmt.Fprintf(&b, "    case %s\n      printf '%%s\\n'", fishQuoted(c.path))
		for _, w := range c.commands {
			if w.word != "help" {
				b.WriteString(" " + w.word)
			}
		}
		b.WriteString("\n")
	}
	b.WriteString(`  end
end

function __brinemark_takes # words of a command, flag: whether a value follows it
  switch "$argv[1] $argv[2]"
`)
	for i, c := range list {
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
			fmt.Fprintf(&b, "    case %s\n      return 0\n", strings.Join(flags, " "))
		}
	}
	b.WriteString(`  end
  return 1
end

function __brinemark_at # whether the words before the cursor lead to this command
  set -l at
  set -l waiting
  for word in (commandline -opc)[2..-1]
    if test -n "$waiting"
      set waiting
      continue
    end
    switch "$word"
      case '--*=*'
      case '-*'
        if __brinemark_takes "$at" "$word"
          set waiting yes
        end
      case '*'
        if contains -- "$word" (__brinemark_commands "$at")
          set at (string trim -- "$at $word")
        end
    end
  end
  test "$at" = "$argv[1]"
end

complete -c brinemark -f
`)
	for _, c := range list {
		at := fmt.Sprintf("complete -c brinemark -n %s", fishQuoted("__brinemark_at "+fishQuoted(c.path)))
		for _, w := range c.commands {
			fmt.Fprintf(&b, "%s -a %s -d %s\n", at, w.word, fishQuoted(w.usage))
		}
		switch c.argument {
		case files:
			fmt.Fprintf(&b, "%s -F\n", at)
		case folders:
			fmt.Fprintf(&b, "%s -a '(__fish_complete_directories)'\n", at)
		}
		for _, f := range c.flags {
			line := at
			if f.global {
				if c.path != "" {
					continue
				}
				line = "complete -c brinemark" // everywhere
			}
			line += " -l " + f.word + " -d " + fishQuoted(f.usage)
			switch {
			case len(f.words) > 0:
				line += " -x -a " + fishQuoted(fishWords(f.words))
			case f.value == files:
				line += " -r -F"
			case f.takes:
				line += " -x"
			}
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

// fishWords is a list as -a takes it, which reads it once more: quoted again.
func fishWords(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = fishQuoted(w)
	}
	return strings.Join(out, " ")
}

// fishQuoted is a text in single quotes, as fish reads it.
func fishQuoted(text string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(text) + "'"
}
