package main

import (
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func completionCommand() *cli.Command {
	group := &cli.Command{
		Name:  "completion",
		Usage: "print what a shell needs to complete commands, flags and words",
		Description: `Printed for the shell named, from the table of commands itself. It offers commands, flags
and words, the IDs of the bottles and meters on record (of --logbook or BRINEMARK_LOGBOOK
where they are given), and the files that an argument reads. To install it, once and after
each new version:

` + shells()[0].install() + shells()[1].install() + shells()[2].install() + `
and begin a new shell. bash needs its package bash-completion for that folder; without it,
write this into ~/.bashrc: source <(brinemark completion bash).`,
	}
	group.Subcommands = append(group.Subcommands, completionIDsCommand())
	for _, s := range shells() {
		group.Subcommands = append(group.Subcommands, &cli.Command{
			Name:        s.name,
			Usage:       "print the completion for " + s.name,
			Description: "To install it:\n\n" + s.install(),
			Action: func(c *cli.Context) error {
				if _, err := arguments(c); err != nil {
					return err
				}
				return render(c, &reports.Printed{Of: "completion for " + s.name, Text: s.script(shellCommands(c.App))})
			},
		})
	}
	return group
}

// shell is one there is a completion for.
type shell struct {
	name   string
	folder string // that the shell looks for completions in
	file   string // in it
	once   string // a command that makes it look there; "" where it does
	write  func([]shellCommand) string
}

func shells() []shell {
	return []shell{
		{"bash", "~/.local/share/bash-completion/completions", "brinemark", "", bashCompletion},
		{"zsh", "~/.zfunc", "_brinemark", `echo 'fpath=(~/.zfunc $fpath); autoload -Uz compinit; compinit' \
       >> ~/.zshrc`, zshCompletion},
		{"fish", "~/.config/fish/completions", "brinemark.fish", "", fishCompletion},
	}
}

// install are the commands that install it, as they are shown in a description.
func (s shell) install() string {
	text := "   mkdir -p " + s.folder + "\n   brinemark completion " + s.name + " \\\n       > " + s.folder + "/" + s.file + "\n"
	if s.once != "" {
		text += "   " + s.once + "\n"
	}
	return text
}

// script is the whole script.
func (s shell) script(list []shellCommand) string {
	head := ""
	if s.name == "zsh" {
		head = "#compdef brinemark\n"
	}
	return head + "# Completion of brinemark for " + s.name + ", printed by: brinemark completion " + s.name +
		"\n# To install it see: brinemark completion " + s.name + " --help\n" + s.write(list)
}

// shellCommand is what a shell has to know of a command.
type shellCommand struct {
	path      string // its words, "" for the program, "recipe made"
	commands  []wordWith
	flags     []shellFlag
	arguments []offer // those that are no commands, in order
	more      bool    // the last of them may be given again
}

// wordWith is a word with what it means.
type wordWith struct{ word, usage string }

// shellFlag is a flag without its dashes.
type shellFlag struct {
	wordWith
	takes  bool
	offer  offer
	global bool
}

// shellCommands flattens the table of commands, the program first. "help" is
// understood before every command.
func shellCommands(app *cli.App) []shellCommand {
	top := shellCommand{commands: append(wordsOf(app.Commands), wordWith{"help", "print the help of a command"})}
	for _, f := range shellFlags(app.Flags) {
		f.global = true
		top.flags = append(top.flags, f)
	}
	list := []shellCommand{top}
	var walk func(path string, commands []*cli.Command)
	walk = func(path string, commands []*cli.Command) {
		for _, c := range commands {
			if c.Hidden {
				continue
			}
			own := strings.TrimSpace(path + " " + c.Name)
			one := shellCommand{path: own, commands: wordsOf(c.Subcommands), flags: append(shellFlags(c.Flags), top.flags...)}
			one.arguments, one.more = argumentsOf(own, c.ArgsUsage)
			list = append(list, one)
			walk(own, c.Subcommands)
		}
	}
	walk("", app.Commands)
	return list
}

func wordsOf(commands []*cli.Command) (out []wordWith) {
	for _, c := range commands {
		if !c.Hidden {
			out = append(out, wordWith{c.Name, c.Usage})
		}
	}
	return out
}

func shellFlags(flags []cli.Flag) (out []shellFlag) {
	for _, f := range flags {
		documented, ok := f.(cli.DocGenerationFlag)
		if visible, hides := f.(cli.VisibleFlag); !ok || hides && !visible.IsVisible() {
			continue
		}
		usage := documented.GetUsage()
		out = append(out, shellFlag{
			wordWith: wordWith{f.Names()[0], strings.ReplaceAll(usage, "`", "")},
			takes:    documented.TakesValue(), offer: offerOf(f, usage),
		})
	}
	return out
}

// commandNames are the names of the commands below.
func (c shellCommand) commandNames() (out []string) {
	for _, w := range c.commands {
		out = append(out, w.word)
	}
	return out
}

// flagWords are the flags of a command with their dashes, ownFlags those that not
// every command has.
func (c shellCommand) flagWords() (out []string) {
	for _, f := range c.flags {
		out = append(out, "--"+f.word)
	}
	return out
}

func (c shellCommand) ownFlags() (out []string) {
	for _, f := range c.flags {
		if !f.global {
			out = append(out, "--"+f.word)
		}
	}
	return out
}

// showsFlags tells a command whose flags are offered where nothing is typed yet:
// one that takes files or nothing else.
func (c shellCommand) showsFlags() bool {
	for _, o := range c.arguments {
		if o.kind != files {
			return false
		}
	}
	return len(c.commands) == 0 && len(c.ownFlags()) > 0
}

// atArgument is a pattern of bash and zsh for the command with so many arguments
// before the one that is being typed.
func (c shellCommand) atArgument(n int) string {
	if c.more && n == len(c.arguments)-1 {
		return singleQuoted(c.path) + `" "*`
	}
	return singleQuoted(c.path + " " + strconv.Itoa(n))
}

// singleQuoted is a word in single quotes, as bash and zsh read it.
func singleQuoted(text string) string { return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'" }

// quotedAll are words in single quotes, with blanks between.
func quotedAll(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = singleQuoted(w)
	}
	return strings.Join(out, " ")
}
