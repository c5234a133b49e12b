package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/spelling"
	"github.com/urfave/cli/v2"
)

// parsed is the value of a flag that a function of ours parses. It keeps every
// occurrence; one that may not be repeated is stopped before it gets here.
type parsed[T any] struct {
	parse  func(string) (T, error)
	many   bool
	words  []string // what may be typed, where that can be listed
	values []T
	texts  []string
}

// Check tells what Set would answer, and keeps nothing.
func (p *parsed[T]) Check(text string) error {
	_, err := p.parse(text)
	return err
}

// Set parses one occurrence.
func (p *parsed[T]) Set(text string) error {
	v, err := p.parse(text)
	if err != nil {
		return err
	}
	p.values, p.texts = append(p.values, v), append(p.texts, text)
	return nil
}

// String lists what was given, as it was typed.
func (p *parsed[T]) String() string {
	if p == nil {
		return ""
	}
	return strings.Join(p.texts, ", ")
}

// Repeats tells whether the flag may be given several times.
func (p *parsed[T]) Repeats() bool { return p.many }

// Words lists what may be typed; nil where that cannot be listed.
func (p *parsed[T]) Words() []string { return p.words }

// offer keeps the words.
func (p *parsed[T]) offer(words []string) { p.words = words }

// anyFile stands for the names of files in a list of words.
const anyFile = "/"

// offering lists the words that a flag may be given, for completion by a shell.
func offering(f *cli.GenericFlag, words ...string) *cli.GenericFlag {
	if v, ok := f.Value.(interface{ offer([]string) }); ok {
		v.offer(words)
	}
	return f
}

// quantityFlag takes a number with a unit of one of the kinds, such as
// "--temp 18C". Read it with getQuantity.
func quantityFlag(name, usage string, kinds ...quantity.Kind) *cli.GenericFlag {
	return parsedFlag(name, usage, false, parseQuantity(kinds))
}

// quantitiesFlag is a quantityFlag that may be given several times. Read it
// with getQuantities.
func quantitiesFlag(name, usage string, kinds ...quantity.Kind) *cli.GenericFlag {
	return parsedFlag(name, usage, true, parseQuantity(kinds))
}

// numberFlag takes a number without a unit. Read it with getNumber.
func numberFlag(name, usage string) *cli.GenericFlag {
	return parsedFlag(name, usage, false, quantity.ParseNumber)
}

// numbersFlag is a numberFlag that may be given several times. Read it with
// getNumbers.
func numbersFlag(name, usage string) *cli.GenericFlag {
	return parsedFlag(name, usage, true, quantity.ParseNumber)
}

// toleranceFlag takes "2%" or "0.1" or, where kinds are given, a quantity of
// one of them. Read it with getTolerance.
func toleranceFlag(name, usage string, kinds ...quantity.Kind) *cli.GenericFlag {
	return parsedFlag(name, usage, false, func(text string) (quantity.Tolerance, error) {
		return quantity.ParseTolerance(text, kinds...)
	})
}

// wordFlag takes one of a list of words, in which case does not matter, and
// names the nearest for any other. Read it with getWord.
func wordFlag(name, usage string, words ...string) *cli.GenericFlag {
	return offering(parsedFlag(name, usage, false, func(text string) (string, error) { return oneOf(text, words) }), words...)
}

func parsedFlag[T any](name, usage string, many bool, parse func(string) (T, error)) *cli.GenericFlag {
	return &cli.GenericFlag{Name: name, Usage: usage, Value: &parsed[T]{parse: parse, many: many}}
}

func parseQuantity(kinds []quantity.Kind) func(string) (quantity.Quantity, error) {
	return func(text string) (quantity.Quantity, error) { return quantity.Parse(text, kinds...) }
}

// oneOf finds text among words.
func oneOf(text string, words []string) (string, error) {
	for _, w := range words {
		if strings.EqualFold(strings.TrimSpace(text), w) {
			return w, nil
		}
	}
	if near, ok := spelling.Nearest(text, words); ok {
		return "", fmt.Errorf("%s is unknown; the nearest right word is %s", quantity.Quoted(text), near)
	}
	return "", fmt.Errorf("%s is unknown; want %s", quantity.Quoted(text), strings.Join(words, ", "))
}

// required marks a flag as one the command cannot do without.
func required(f *cli.GenericFlag) *cli.GenericFlag {
	f.Required = true
	return f
}

// getQuantity reads a quantityFlag; given is false where the flag is not. An
// error means that the command has no such flag.
func getQuantity(c *cli.Context, name string) (q quantity.Quantity, given bool, err error) {
	return last[quantity.Quantity](c, name)
}

// getQuantities reads a quantitiesFlag in the order given.
func getQuantities(c *cli.Context, name string) ([]quantity.Quantity, error) {
	return all[quantity.Quantity](c, name)
}

// getNumber reads a numberFlag.
func getNumber(c *cli.Context, name string) (x float64, given bool, err error) {
	return last[float64](c, name)
}

// getNumbers reads a numbersFlag in the order given.
func getNumbers(c *cli.Context, name string) ([]float64, error) { return all[float64](c, name) }

// getTolerance reads a toleranceFlag.
func getTolerance(c *cli.Context, name string) (t quantity.Tolerance, given bool, err error) {
	return last[quantity.Tolerance](c, name)
}

// getWord reads a wordFlag; it is "" where the flag is not given.
func getWord(c *cli.Context, name string) (string, error) {
	word, _, err := last[string](c, name)
	return word, err
}

func all[T any](c *cli.Context, name string) ([]T, error) {
	p, ok := c.Generic(name).(*parsed[T])
	if !ok {
		return nil, couldNotDo(fmt.Errorf("the command %s has no flag --%s of this type", c.Command.Name, name))
	}
	return p.values, nil
}

func last[T any](c *cli.Context, name string) (v T, given bool, err error) {
	values, err := all[T](c, name)
	if err != nil || len(values) == 0 {
		return v, false, err
	}
	return values[len(values)-1], true, nil
}

// timeZoneFlag takes the name of a time zone. Read it with timeZone.
func timeZoneFlag() *cli.GenericFlag {
	f := parsedFlag("time-zone", "read times without a zone in `ZONE`, such as Europe/Vienna or UTC", false, parseZone)
	f.DefaultText = "local"
	return f
}

func parseZone(name string) (*time.Location, error) {
	if name == "" || strings.EqualFold(name, "local") {
		return time.Local, nil
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("%s is no known zone; want a name such as Europe/Vienna or UTC", quantity.Quoted(name))
	}
	return zone, nil
}

// timeZone is the zone in which times without one are read: --time-zone, or
// the local one.
func timeZone(c *cli.Context) (*time.Location, error) {
	zone, given, err := last[*time.Location](c, "time-zone")
	if err == nil && !given {
		zone = time.Local
	}
	return zone, err
}

// arguments returns the arguments that are no flags, one for each name. A
// name in brackets, such as "[FILE.csv]", may be missing and then is "".
func arguments(c *cli.Context, names ...string) ([]string, error) {
	given := c.Args().Slice()
	values := make([]string, len(names))
	for i, name := range names {
		if i < len(given) {
			values[i] = given[i]
		} else if !strings.HasPrefix(name, "[") {
			return nil, usageError("%s needs %s", commandWords(c), strings.Replace(name, "|-", ", or - for standard input", 1))
		}
	}
	if len(given) > len(names) {
		return nil, usageError("%s: unexpected argument %s", commandWords(c), quantity.Quoted(given[len(names)]))
	}
	return values, nil
}

// commandWords are the words of the command, such as "meter show".
func commandWords(c *cli.Context) string {
	return strings.TrimPrefix(c.Command.HelpName, c.App.Name+" ")
}
