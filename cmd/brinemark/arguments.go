package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/spelling"
	"github.com/urfave/cli/v2"
)

// ordered is a command line in an order the cli library reads rightly: flags
// of the program, the words of the command, its flags, then "--" and the rest.
//
// The library stops reading flags at the first other argument, and answers
// what it does not know by printing help to stdout. So the arguments are
// walked here first: what a person typed after a file name is put before it,
// and unknown words, missing values, missing flags and flags given twice are
// refused here, with the nearest right word. What then reaches the library is
// complete, and only values remain to be parsed.
type ordered struct {
	global      []string     // --name=value
	path        []string     // the command's words
	command     *cli.Command // the command itself; nil before it is named
	local       []string     // --name=value
	positionals []string
	help        bool
	version     bool
}

// forCLI is the whole command line for cli.App.Run.
func (o ordered) forCLI(program string) []string {
	args := append([]string{program}, o.global...)
	args = append(append(args, o.path...), o.local...)
	if len(o.positionals) > 0 {
		args = append(append(args, "--"), o.positionals...)
	}
	return args
}

// walk is the state of reading a command line from left to right.
type walk struct {
	ordered
	app      *cli.App
	commands []*cli.Command
	given    map[string]string // flag name to its value, to see what comes twice
}

// orderArguments walks the arguments after the program's name. With an error
// it returns how far it got.
func orderArguments(app *cli.App, args []string) (ordered, error) {
	w := walk{app: app, commands: app.Commands, given: map[string]string{}}
	err := w.all(args)
	if err == nil && !w.help && !w.version {
		err = w.complete()
	}
	return w.ordered, err
}

func (w *walk) all(args []string) error {
	for i := 0; i < len(args); i++ {
		arg := args[i]
		if arg == "--" {
			for _, rest := range args[i+1:] {
				if err := w.word(rest); err != nil {
					return err
				}
			}
			break
		}
		if !looksLikeFlag(arg) {
			if err := w.word(arg); err != nil {
				return err
			}
			continue
		}
		used, err := w.flag(arg, args[i+1:])
		if err != nil {
			return err
		}
		i += used
	}
	return nil
}

// looksLikeFlag tells a flag from "-" (standard input) and a negative number.
func looksLikeFlag(arg string) bool {
	if len(arg) < 2 || arg[0] != '-' {
		return false
	}
	return !strings.ContainsRune("0123456789.", rune(arg[1]))
}

// word takes an argument that is no flag: the command's name, or what follows.
func (w *walk) word(arg string) error {
	if w.command != nil && len(w.commands) == 0 {
		w.positionals = append(w.positionals, arg)
		return nil
	}
	if w.command == nil && arg == "help" { // "help recipe" is "recipe --help"
		w.help = true
		return nil
	}
	for _, c := range w.commands {
		if c.HasName(arg) {
			w.command, w.commands = c, c.Subcommands
			w.path = append(w.path, c.Name)
			return nil
		}
	}
	kind := "command"
	if w.command != nil {
		kind = w.command.Name + " command"
	}
	if near, ok := spelling.Nearest(arg, names(w.commands)); ok {
		return usageError("unknown %s %s: the nearest is %s", kind, quantity.Quoted(arg), near)
	}
	known := names(w.commands)
	if len(known) == 1 {
		return usageError("unknown %s %s: there is only %s", kind, quantity.Quoted(arg), known[0])
	}
	return usageError("unknown %s %s: there are %s", kind, quantity.Quoted(arg), strings.Join(known, ", "))
}

// names lists the commands' names.
func names(commands []*cli.Command) []string {
	var list []string
	for _, c := range commands {
		if !c.Hidden {
			list = append(list, c.Name)
		}
	}
	return list
}

// flag takes a flag and, where its value is the next argument, that too. It
// returns how many of the arguments after the flag it used.
func (w *walk) flag(arg string, after []string) (used int, err error) {
	name, value, hasValue := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(arg, "-"), "-"), "=")
	if name == "h" {
		name = "help"
	}
	flag, global := w.find(name)
	if flag == nil {
		return 0, w.unknownFlag(arg, name)
	}
	if !takesValue(flag) {
		if !hasValue {
			value = "true"
		}
		if _, err := strconv.ParseBool(value); err != nil {
			return 0, usageError("--%s takes no value", name)
		}
	} else if !hasValue {
		if len(after) == 0 || after[0] == "--" || w.isFlag(after[0]) {
			return 0, usageError("--%s needs a value after it", name)
		}
		value, used = after[0], 1
	}
	name = flag.Names()[0]
	w.help, w.version = w.help || name == "help", w.version || name == "version"
	if before, twice := w.given[name]; twice && !repeats(flag) {
		if before == value {
			return used, nil
		}
		return 0, usageError("--%s is given twice, as %s and as %s", name, quantity.Quoted(before), quantity.Quoted(value))
	}
	if err := checkValue(flag, value); err != nil {
		return 0, fmt.Errorf("--%s: %w", name, err)
	}
	w.given[name] = value
	text := "--" + name + "=" + value
	if global {
		w.global = append(w.global, text)
	} else {
		w.local = append(w.local, text)
	}
	return used, nil
}

// find looks a flag up, those of the command first.
func (w *walk) find(name string) (flag cli.Flag, global bool) {
	if w.command != nil {
		for _, f := range w.command.Flags {
			if slices.Contains(f.Names(), name) {
				return f, false
			}
		}
	}
	for _, f := range w.app.Flags {
		if slices.Contains(f.Names(), name) {
			return f, true
		}
	}
	return nil, false
}

// isFlag tells that an argument in the place of a value is a flag instead: it
// begins with two dashes, or is one that the command knows.
func (w *walk) isFlag(arg string) bool {
	if !looksLikeFlag(arg) {
		return false
	}
	name, _, _ := strings.Cut(strings.TrimLeft(arg, "-"), "=")
	flag, _ := w.find(name)
	return strings.HasPrefix(arg, "--") || flag != nil || name == "h"
}

// unknownFlag words the refusal of a flag, with the nearest right one.
func (w *walk) unknownFlag(arg, name string) error {
	arg, _, _ = strings.Cut(arg, "=")
	if len(arg) > longestWord {
		arg = quantity.Quoted(arg)
	}
	if w.command == nil {
		for _, c := range w.app.Commands {
			for _, f := range c.Flags {
				if slices.Contains(f.Names(), name) {
					return usageError("%s belongs after the command, as in: brinemark %s %s", arg, c.Name, arg)
				}
			}
		}
	}
	var known []string
	if w.command != nil {
		known = appendNames(known, w.command.Flags)
	}
	known = appendNames(known, w.app.Flags)
	if near, ok := spelling.Nearest(name, known); ok {
		return usageError("unknown flag %s: the nearest is --%s", arg, near)
	}
	return usageError("unknown flag %s", arg)
}

// longestWord is what a message says of an unknown flag without cutting it.
const longestWord = 40

func appendNames(names []string, flags []cli.Flag) []string {
	for _, f := range flags {
		names = append(names, f.Names()...)
	}
	return names
}

// complete checks that the command is there with the flags it cannot do without.
func (w *walk) complete() error {
	if w.command == nil {
		return usageError("no command is given")
	}
	if len(w.commands) > 0 && w.command.Action == nil {
		return usageError("%s needs a command after it: %s", strings.Join(w.path, " "), strings.Join(names(w.commands), ", "))
	}
	var missing []string
	for _, f := range w.command.Flags {
		required, ok := f.(cli.RequiredFlag)
		if _, given := w.given[f.Names()[0]]; ok && required.IsRequired() && !given {
			label, what, _, _ := flagHelp(f)
			missing = append(missing, label+" "+what)
		}
	}
	if len(missing) > 0 {
		return usageError("%s needs %s", strings.Join(w.path, " "), strings.Join(missing, " and "))
	}
	if check, _ := strconv.ParseBool(w.given["check"]); check && !judges(w.command) {
		return usageError("%s gives no verdict, so --check has nothing to go by", strings.Join(w.path, " "))
	}
	return nil
}

// checkValue parses the value of a flag of ours, so that its error arrives whole
// and not as the text the flag package makes of it.
// A file without a name would be taken as none given.
func checkValue(f cli.Flag, value string) error {
	if _, file := f.(*cli.PathFlag); file && value == "" {
		return errors.New("found nothing; want the name of a file")
	}
	if generic, ok := f.(*cli.GenericFlag); ok {
		if v, ok := generic.Value.(interface{ Check(string) error }); ok {
			return v.Check(value)
		}
	}
	return nil
}

// takesValue tells flags with a value from switches.
func takesValue(f cli.Flag) bool {
	documented, ok := f.(cli.DocGenerationFlag)
	return ok && documented.TakesValue()
}

// repeats tells whether a flag may be given several times.
func repeats(f cli.Flag) bool {
	switch f := f.(type) {
	case *cli.GenericFlag:
		list, ok := f.Value.(interface{ Repeats() bool })
		return ok && list.Repeats()
	case cli.DocGenerationSliceFlag:
		return f.IsSliceFlag()
	}
	return false
}
