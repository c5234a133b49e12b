package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
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

DIR must be new or empty. Nothing outside DIR is touched, no record is opened.

   brinemark demo brinemark-demo`,
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
func demoSteps(bottles []scenario.Bottle) []demoStep {
	water := []string{"--water-ec", with(scenario.WaterEC, "uS/cm"), "--u-water-ec", with(scenario.UWaterEC, "uS/cm")}
	setup := append([]string{"--salt", "NaCl", "--grade", "food",
		"--purity", with(scenario.PurityPercent, "%"), "--u-purity", with(scenario.UPurityPercent, "%"),
		"--scale-step", with(scenario.ScaleStepG, "g"), "--u-scale", with(scenario.UWeighingG, "g"), "--scale-max", with(scenario.ScaleMaxG, "g")}, water...)
	recipe := append([]string{"recipe"}, setup...)
	for _, mgL := range scenario.TargetsMgL {
		recipe = append(recipe, "--target", with(mgL, "mg/L"))
	}
	steps := []demoStep{{"1-recipe", "Three references from table salt and a pocket scale: what to weigh, and how well they are then known.",
		append(recipe, "--batch", with(scenario.BatchML, "mL"), "--max-u", with(scenario.MaxUPercent, "%"))}}

	for i, b := range bottles {
		why := "Nobody hits the target mass, and nobody has to. Bottle " + b.Name + " as it was weighed:"
		if i > 0 {
			why = "Bottle " + b.Name + ", from the same stock:"
		}
		made := append([]string{"recipe", "made"}, setup...)
		made = appendMasses(made, "--stock-salt-mass", b.Stock.SaltG)
		made = appendMasses(made, "--stock-water-mass", b.Stock.WaterG)
		made = appendMasses(made, "--stock-mass", b.StockG)
		steps = append(steps, demoStep{"2-made-" + b.Name, why, appendMasses(made, "--water-mass", b.WaterG)})
	}

	b := bottles[1]
	temp := with(scenario.BenchTempC, "C")
	reference := append([]string{"reference", "--salt", "NaCl", "--strength", with(scenario.StrengthMgL(b), "mg/L"),
		"--u-strength", reports.Significant(100*b.Made.Now.MgL.RelU(), 2) + "%", "--temp", temp, "--u-temp", with(scenario.UBenchTempC, "C"),
		"--ppm-factor", with(scenario.PPMFactor, ""), "--alpha", with(scenario.AlphaPercent, "%")}, water...)
	return append(steps,
		demoStep{"3-reference", "What bottle " + b.Name + " conducts at " + temp + ", and what a pen that shows ppm (factor 0.5) should display in it: the column ref of the tables below. Their u_ref and u_ref_shared are the bottle's own and shared parts from above, times 0.5 because the pens show ppm.", reference},
		demoStep{"4-calibrate-old-pen", "The old pen in the three bottles: is it within 5 %, and what line puts it right?",
			[]string{"calibrate", scenario.OldPen.Name + ".csv", "--tolerance", scenario.Tolerance, "--at", "450"}},
		demoStep{"5-calibrate-new-pen", "The new pen in the same bottles.",
			[]string{"calibrate", scenario.NewPen.Name + ".csv", "--tolerance", scenario.Tolerance}},
		demoStep{"6-compare", "The two pens side by side: by how much do they disagree, and is it real?",
			[]string{"compare", "both-pens.csv", "--tolerance", scenario.Tolerance}},
		demoStep{"7-calibrate-ph-pen", "The pH pen in two buffers, with its millivolts: the electrode has aged.",
			[]string{"calibrate", "ph-pen.csv", "--quantity", "ph", "--tolerance", "0.1"}},
		demoStep{"8-two-readings", "Two readings need no file.",
			[]string{"calibrate", "--point", "1413=1290", "--point", "447=410", "--tolerance", scenario.Tolerance, "--at", "1100"}},
	)
}

// with writes a number as a person types it, with its unit.
func with(x float64, unit string) string {
	return strconv.FormatFloat(x, 'f', -1, 64) + unit
}

func appendMasses(args []string, flag string, massesG []float64) []string {
	for _, m := range massesG {
		args = append(args, flag, strconv.FormatFloat(m, 'f', 2, 64)+"g")
	}
	return args
}

const demoAbout = `An invented bench day
=====================

A shelf of lettuce over a washing machine. Two conductivity pens disagree by
about an eighth, and the pH pen has grown slow. The person has a jar of table
salt, a pocket scale that reads 0.01 g up to 200 g, and demineralised water.

Everything here is invented: the masses are made up, the pens are given faults
(they stand in the program's source, package scenario) and what they "show"
follows from both. No real meter and no real person is behind it.

`

func runDemo(c *cli.Context) (err error) {
	args, err := arguments(c, "DIR")
	if err != nil {
		return err
	}
	if args[0] == "" {
		return usageError("demo needs the name of a folder, such as brinemark-demo")
	}
	result := reports.Demo{Dir: filepath.Clean(args[0])}
	made, err := emptyFolder(result.Dir)
	if err != nil {
		return err
	}
	// A demonstration that fails half way leaves nothing behind, so that the
	// same command can be tried again.
	defer func() {
		if err != nil {
			removeDemo(result, made)
		}
	}()
	files, err := scenario.Files()
	if err != nil {
		return err
	}
	bottles, err := scenario.Bottles()
	if err != nil {
		return err
	}
	about := demoAbout
	for _, f := range files {
		if err := writeDemoFile(&result, f.Name, f.Content); err != nil {
			return err
		}
		about += fmt.Sprintf("%-16s %s\n", f.Name, f.About)
	}
	about += "results/         what each command printed, as text and as JSON\n\nThe commands, in this folder:\n\n"
	for _, step := range demoSteps(bottles) {
		shown, err := runDemoStep(c, &result, step)
		if err != nil {
			return err
		}
		about += "  " + shown + "\n"
	}
	if err := writeDemoFile(&result, "README.txt", []byte(about)); err != nil {
		return err
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
			if strings.HasPrefix(a, "-") {
				a = "." + string(filepath.Separator) + a // a name, not a flag
			}
		}
		args = append(args, a)
	}
	shown = c.App.Name + " " + reports.ShellWords(step.command)
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

// removeDemo takes back what a demonstration has written.
func removeDemo(result reports.Demo, madeFolder bool) {
	for _, name := range result.Files {
		os.Remove(filepath.Join(result.Dir, filepath.FromSlash(name)))
	}
	os.Remove(filepath.Join(result.Dir, "results")) // only if empty
	if madeFolder {
		os.Remove(result.Dir)
	}
}

// emptyFolder makes sure that dir is a folder of ours to fill: it makes one
// that is not there, and refuses one that holds anything.
func emptyFolder(dir string) (made bool, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return false, couldNotDo(fmt.Errorf("demo: %w", err))
		}
		return true, nil
	case err != nil:
		if info, statErr := os.Stat(dir); statErr == nil && !info.IsDir() {
			return false, fmt.Errorf("demo: %s is a file; name a folder that is new or empty: brinemark demo %s", dir, reports.ShellWord(freeFolder(dir)))
		}
		return false, couldNotDo(fmt.Errorf("demo: %w", err))
	case len(entries) > 0:
		return false, fmt.Errorf("demo: the folder %s is not empty, and nothing is written over; type: brinemark demo %s", dir, reports.ShellWord(freeFolder(dir)))
	}
	return false, nil
}

// freeFolder names a folder beside dir that is not there yet.
func freeFolder(dir string) string {
	for n := 2; ; n++ {
		name := fmt.Sprintf("%s-%d", dir, n)
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			return name
		}
	}
}
