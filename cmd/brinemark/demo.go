package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/brinemark/brinemark/cmd/brinemark/scenario"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func demoCommand() *cli.Command {
	return &cli.Command{
		Name:      "demo",
		Usage:     "make an invented example in a new folder and run the whole job on it",
		ArgsUsage: "DIR",
		Description: `Writes the readings of an invented bench day to DIR as plain CSV files, runs
recipe, reference, calibrate and compare on them, shows each command as you
could type it, and leaves what it printed in DIR/results, as text and as JSON.

DIR must be new or empty. Nothing outside DIR is touched, no record is opened.`,
		Action: runDemo,
	}
}

// demoStep is one command of the demonstration.
type demoStep struct {
	name    string // of its files in results
	why     string
	command []string // after "brinemark"; names of files are relative to DIR
}

// demoSteps is the bench day in order.
func demoSteps() []demoStep {
	purity, uPurity := percent(scenario.PurityPercent), percent(scenario.UPurityPercent)
	water := []string{"--water-ec", fmt.Sprintf("%guS/cm", scenario.WaterEC), "--u-water-ec", fmt.Sprintf("%guS/cm", scenario.UWaterEC)}
	setup := append([]string{"--salt", "NaCl", "--grade", "food", "--purity", purity, "--u-purity", uPurity,
		"--scale-step", fmt.Sprintf("%gg", scenario.ScaleStepG), "--scale-max", fmt.Sprintf("%gg", scenario.ScaleMaxG)}, water...)
	recipe := append([]string{"recipe"}, setup...)
	for _, b := range scenario.Bottles {
		recipe = append(recipe, "--target", b.Target)
	}
	recipe = append(recipe, "--batch", "500mL", "--max-u", "1%")

	bottle := scenario.Bottles[1]
	made := append([]string{"recipe", "made"}, setup...)
	made = append(made, "--stock-salt-mass", grams(scenario.Stock.SaltG[0]), "--stock-water-mass", grams(scenario.Stock.WaterG[0]),
		"--stock-mass", grams(bottle.StockG))
	for _, w := range bottle.WaterG {
		made = append(made, "--water-mass", grams(w))
	}
	temp := fmt.Sprintf("%gC", scenario.BenchTempC)
	return []demoStep{
		{"1-recipe", "Three references from table salt and a pocket scale: what to weigh, and how well they are then known.", recipe},
		{"2-recipe-made", "Nobody hits the target mass. Bottle " + bottle.Name + " as it was weighed:", made},
		{"3-reference", "What such a bottle conducts at " + temp + ", and what a pen that shows ppm (factor 0.5) should display in it.",
			append([]string{"reference", "--salt", "NaCl", "--strength", bottle.Target, "--u-strength", "0.6%", "--temp", temp, "--u-temp", "0.3C",
				"--ppm-factor", fmt.Sprint(scenario.PPMFactor)}, water...)},
		{"4-calibrate-old-pen", "The old pen in the three bottles: is it within 5 %, and what line puts it right?",
			[]string{"calibrate", scenario.OldPen.Name + ".csv", "--tolerance", scenario.Tolerance, "--at", "450"}},
		{"5-calibrate-new-pen", "The new pen in the same bottles.",
			[]string{"calibrate", scenario.NewPen.Name + ".csv", "--tolerance", scenario.Tolerance}},
		{"6-compare", "The two pens side by side: by how much do they disagree, and is it real?",
			[]string{"compare", "both-pens.csv", "--tolerance", scenario.Tolerance}},
		{"7-calibrate-ph-pen", "The pH pen in two buffers, with its millivolts: the electrode has aged.",
			[]string{"calibrate", "ph-pen.csv", "--quantity", "ph", "--tolerance", "0.1"}},
		{"8-two-readings", "Two readings need no file.",
			[]string{"calibrate", "--point", "1413=1290", "--point", "447=410", "--tolerance", scenario.Tolerance, "--at", "1100"}},
	}
}

func percent(x float64) string { return fmt.Sprintf("%g%%", x) }
func grams(x float64) string   { return fmt.Sprintf("%gg", x) }

const demoAbout = `An invented bench day
=====================

A shelf of lettuce over a washing machine. Two conductivity pens disagree by
about a tenth, and the pH pen has grown slow. The person has a jar of table
salt, a pocket scale that reads 0.01 g up to 200 g, and demineralised water.

Everything here is invented: the masses are made up, the pens are given faults
(they stand in the program's source, package scenario) and what they "show"
follows from both. No real meter and no real person is behind it.

`

func runDemo(c *cli.Context) error {
	args, err := arguments(c, "DIR")
	if err != nil {
		return err
	}
	dir := args[0]
	if err := emptyFolder(dir); err != nil {
		return err
	}
	files, err := scenario.Files()
	if err != nil {
		return err
	}
	result := reports.Demo{Dir: dir}
	about := demoAbout
	for _, f := range files {
		if err := writeDemoFile(&result, f.Name, f.Content); err != nil {
			return err
		}
		about += fmt.Sprintf("%-16s %s\n", f.Name, f.About)
	}
	about += "results/         what each command printed, as text and as JSON\n\nThe commands, in this folder:\n\n"
	for _, step := range demoSteps() {
		shown, err := runDemoStep(c, &result, step)
		if err != nil {
			return err
		}
		about += "  " + shown + "\n"
	}
	if err := writeDemoFile(&result, "README.txt", []byte(about)); err != nil {
		return couldNotDo(err)
	}
	return render(c, &result)
}

// runDemoStep runs a command as run does for a person, once for the text and
// once for the JSON, keeps both and says what it did on the way.
func runDemoStep(c *cli.Context, result *reports.Demo, step demoStep) (shown string, err error) {
	args := []string{c.App.Name}
	for _, a := range step.command {
		if strings.HasSuffix(a, ".csv") {
			a = filepath.Join(result.Dir, a)
		}
		args = append(args, a)
	}
	shown = c.App.Name + " " + strings.Join(step.command, " ")
	var text, notes, object, ignored bytes.Buffer
	if status := run(args, strings.NewReader(""), &text, &notes); status != statusDone {
		return "", couldNotDo(fmt.Errorf("demo: %s ended with status %d: %s", shown, status, oneLine(strings.TrimSpace(notes.String()))))
	}
	if status := run(append(args, "--json"), strings.NewReader(""), &object, &ignored); status != statusDone {
		return "", couldNotDo(fmt.Errorf("demo: %s --json ended with status %d", shown, status))
	}
	s := reports.DemoStep{
		Name: step.name, Why: step.why, Command: shown,
		TextFile: filepath.Join("results", step.name+".txt"), JSONFile: filepath.Join("results", step.name+".json"),
	}
	text.WriteString(notes.String())
	if err := writeDemoFile(result, s.TextFile, text.Bytes()); err != nil {
		return "", couldNotDo(err)
	}
	if err := writeDemoFile(result, s.JSONFile, object.Bytes()); err != nil {
		return "", couldNotDo(err)
	}
	result.Steps = append(result.Steps, s)
	if c.Bool("json") {
		return shown, nil
	}
	var out bytes.Buffer
	if err := s.Print(&out, style(c), text.String()); err != nil {
		return "", couldNotDo(err)
	}
	return shown, write(c.App.Writer, out.Bytes())
}

// writeDemoFile writes a new file in the folder, named relative to it, and
// lists it.
func writeDemoFile(result *reports.Demo, name string, content []byte) error {
	path := filepath.Join(result.Dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return couldNotDo(err)
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return couldNotDo(err)
	}
	_, err = file.Write(content)
	if err := errors.Join(err, file.Close()); err != nil {
		return couldNotDo(err)
	}
	result.Files = append(result.Files, filepath.ToSlash(name))
	return nil
}

// emptyFolder makes sure that dir is a folder of ours to fill: it makes one
// that is not there, and refuses one that holds anything.
func emptyFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return couldNotDo(fmt.Errorf("demo: %w", err))
		}
		return nil
	case err != nil:
		if info, statErr := os.Stat(dir); statErr == nil && !info.IsDir() {
			return fmt.Errorf("demo: %s is a file; name a folder that is new or empty: brinemark demo %s", dir, freeFolder(dir))
		}
		return couldNotDo(fmt.Errorf("demo: %w", err))
	case len(entries) > 0:
		return fmt.Errorf("demo: the folder %s is not empty, and nothing is written over; type: brinemark demo %s", dir, freeFolder(dir))
	}
	return nil
}

// freeFolder names a folder beside dir that is not there yet.
func freeFolder(dir string) string {
	dir = filepath.Clean(dir)
	for n := 2; ; n++ {
		name := fmt.Sprintf("%s-%d", dir, n)
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			return name
		}
	}
}
