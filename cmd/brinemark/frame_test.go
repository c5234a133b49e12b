package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

// seen is the result of the commands made for these tests: what reached them.
type seen struct {
	Files    reports.List[string]  `json:"files"`
	Temp     reports.Number        `json:"temp_C"`
	Targets  reports.List[string]  `json:"targets"`
	At       reports.List[float64] `json:"at"`
	Rule     string                `json:"rule"`
	Mode     string                `json:"mode"`
	Raw      bool                  `json:"raw"`
	Check    bool                  `json:"check"`
	Zone     string                `json:"zone"`
	Warnings reports.Warnings      `json:"warnings"`
}

func (s seen) Table(w io.Writer, style reports.Style) error {
	_, err := fmt.Fprintf(w, "%s\n", style.Verdict("pass"))
	return err
}

func (s seen) WarningList() []string { return s.Warnings }

// look is a command with every sort of flag, which shows what it was given.
func look(name string) *cli.Command {
	return judging(&cli.Command{
		Name: name, Usage: "look at what is given", ArgsUsage: "[FILE] [FILE]",
		Flags: []cli.Flag{
			quantityFlag("temp", "`TEMPERATURE`", quantity.Temperature),
			quantitiesFlag("target", "`TARGET`", quantity.Strengths()...),
			numbersFlag("at", "`READING`"),
			toleranceFlag("tolerance", "`TOLERANCE`"),
			wordFlag("rule", "`RULE`", "linear", "none", "natural-water"),
			&cli.StringFlag{Name: "mode", Value: "auto", Usage: "`MODE`"},
			&cli.BoolFlag{Name: "raw", Usage: "as it is"},
			&cli.IntFlag{Name: "count", Usage: "`N`"},
			&cli.StringFlag{Name: "verdict", Usage: "`WORD`"},
			&cli.StringSliceFlag{Name: "tag", Usage: "`TAG`"},
		},
		Action: func(c *cli.Context) error {
			given, err := arguments(c, "[FILE]", "[FILE]")
			if err != nil {
				return err
			}
			zone, err := timeZone(c)
			if err != nil {
				return err
			}
			s := seen{Raw: c.Bool("raw"), Check: c.Bool("check"), Mode: c.String("mode"), Zone: zone.String()}
			for _, f := range given {
				if f != "" {
					s.Files = append(s.Files, f)
				}
			}
			temp, ok, err := getQuantity(c, "temp")
			if err != nil {
				return err
			}
			s.Temp = reports.Maybe(temp.Value, ok)
			targets, err := getQuantities(c, "target")
			if err != nil {
				return err
			}
			for _, q := range targets {
				s.Targets = append(s.Targets, q.String())
			}
			if s.At, err = getNumbers(c, "at"); err != nil {
				return err
			}
			if s.Rule, err = getWord(c, "rule"); err != nil {
				return err
			}
			s.Warnings = c.StringSlice("tag")
			if err := render(c, s); err != nil {
				return err
			}
			if !c.IsSet("verdict") {
				return nil
			}
			return checkVerdict(c, strings.Fields(c.String("verdict"))...)
		},
	})
}

// testCommands are look, alone and below another word, with neighbours.
func testCommands() []*cli.Command {
	needy := look("weigh")
	needy.Flags = append(needy.Flags, required(quantityFlag("batch", "`SIZE`", quantity.Mass)), required(numberFlag("purity", "`P`")))
	return []*cli.Command{
		look("inspect"),
		needy,
		{Name: "bottle", Usage: "keep bottles", Subcommands: []*cli.Command{look("add"), look("list")}},
		{Name: "fail", Usage: "end as asked", ArgsUsage: "HOW", Action: func(c *cli.Context) error {
			how, err := arguments(c, "HOW")
			if err != nil {
				return err
			}
			switch how[0] {
			case "input":
				return errors.New("the bottle is empty")
			case "disk":
				return fmt.Errorf("save: %w", couldNotDo(errors.New("disk full")))
			case "exit":
				return cli.Exit("leaving", 7)
			case "lines":
				return errors.New("first\nsecond\x1b[2J")
			case "nan":
				return render(c, seen{Temp: reports.Known(math.NaN())})
			case "flag":
				_, _, err := getQuantity(c, "nobody")
				return err
			}
			return nil
		}},
		{Name: "count", Usage: "count rows", ArgsUsage: "FILE.csv", Action: func(c *cli.Context) error {
			files, err := arguments(c, "FILE.csv")
			if err != nil {
				return err
			}
			table, err := readTable(c, files[0], readings.Spec{Columns: []readings.Column{
				{Name: "reading", Type: readings.Number, Required: true}, {Name: "time", Type: readings.Time}}})
			if err != nil {
				return err
			}
			moment, known, err := table.Time(0, "time")
			if err != nil {
				return err
			}
			return render(c, seen{At: reports.List[float64]{float64(table.Len()), float64(moment.Unix())}, Raw: known})
		}},
	}
}

// try runs the frame on the commands made for these tests.
func try(args ...string) outcome { return tryWith("", args...) }

func tryWith(stdin string, args ...string) outcome {
	var out, err bytes.Buffer
	status := runCommands(testCommands(), append([]string{"brinemark"}, args...), strings.NewReader(stdin), &out, &err)
	return outcome{out.String(), err.String(), status}
}

// lookAt runs with --json and reads back what reached the command.
func lookAt(t *testing.T, args ...string) seen {
	t.Helper()
	r := try(append([]string{"--json"}, args...)...)
	require.Equal(t, statusDone, r.status, "%q: %s", args, r.stderr)
	require.Empty(t, r.stderr, "%q", args)
	var s seen
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &s), "%q: %s", args, r.stdout)
	return s
}
