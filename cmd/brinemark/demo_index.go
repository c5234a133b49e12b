package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/brinemark/brinemark/cmd/brinemark/scenario"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/picture"
)

// writePage writes the page that tells the story.
func (d *demoRun) writePage() error {
	story, err := d.found()
	if err != nil {
		return couldNotDo(fmt.Errorf("demo: %w", err))
	}
	tells, err := story.Page()
	if err != nil {
		return couldNotDo(fmt.Errorf("demo: %w", err))
	}
	var b bytes.Buffer
	if err := tells.HTML(&b); err != nil {
		return couldNotDo(fmt.Errorf("demo: %w", err))
	}
	return writeDemoFile(d.result, demoPage, "what came of it: open it in a browser", b.Bytes())
}

// found is what the commands of the story found.
func (d *demoRun) found() (*reports.DemoStory, error) {
	s := &reports.DemoStory{Demo: d.result, ConstantsFile: headerFile}
	var missing []string
	pick := picker{d.kept, &missing}
	s.Recipe = resultOf[*reports.Recipe](pick, "recipe")
	for _, name := range scenario.Names {
		s.Bottles = append(s.Bottles, resultOf[*reports.RecipeMade](pick, "bottle-"+name))
		s.Weighed = append(s.Weighed, resultOf[*reports.BottleWeighed](pick, "weigh-"+name))
	}
	for _, m := range []scenario.Meter{scenario.OldPen, scenario.Probe} {
		s.Shows = append(s.Shows, resultOf[*reports.BottleShown](pick, "should-show-"+m.Name))
	}
	for _, name := range []string{"calibrate-old-pen", "calibrate-new-pen", "calibrate-ph-pen", probeCheck(0)} {
		s.First = append(s.First, resultOf[*reports.Calibrate](pick, name))
	}
	for _, name := range []string{"calibrate-old-pen-cleaned", "calibrate-ph-pen-new"} {
		s.Mended = append(s.Mended, resultOf[*reports.Calibrate](pick, name))
	}
	for day := range scenario.Checks {
		s.Probe = append(s.Probe, resultOf[*reports.Calibrate](pick, probeCheck(day)))
	}
	s.Compare = resultOf[*reports.Compare](pick, "compare")
	s.CompareAgain = resultOf[*reports.Compare](pick, "compare-cold-warm")
	s.Drift = resultOf[*reports.Drift](pick, "drift")
	s.All = resultOf[*reports.DriftAll](pick, "drift-all")
	s.Log = resultOf[*reports.Correction](pick, "correct")
	s.Constants = resultOf[*reports.Constants](pick, "constants")
	if len(missing) > 0 {
		return nil, fmt.Errorf("no result of %s", strings.Join(missing, ", "))
	}
	return s, d.readBack(s)
}

// readBack reads what commands wrote into files.
func (d *demoRun) readBack(s *reports.DemoStory) error {
	corrected, err := d.file(correctedFile)
	if err != nil {
		return err
	}
	near, err := scenario.HowNear(corrected)
	if err != nil {
		return err
	}
	s.Near = reports.DemoNearness{Raw: near.Raw, Corrected: near.Corrected, Covered: near.Covered}
	events, err := d.file(eventsFile)
	if err != nil {
		return err
	}
	s.LogTable.File = eventsFile
	if s.LogTable.Rows, err = csv.NewReader(bytes.NewReader(events)).ReadAll(); err != nil {
		return fmt.Errorf("%s: %w", eventsFile, err)
	}
	for _, p := range d.pictures {
		drawn, ok := d.kept[p.Of].(interface{ Chart() *picture.Chart })
		if !ok {
			return fmt.Errorf("no chart of %s", p.Of)
		}
		if p.SVG, err = drawn.Chart().EmbedLow(); err != nil {
			return err
		}
		s.Pictures = append(s.Pictures, p)
	}
	return nil
}

func (d *demoRun) file(name string) ([]byte, error) {
	return os.ReadFile(filepath.Join(d.result.Dir, filepath.FromSlash(name)))
}

// picker looks results up, and notes which are missing.
type picker struct {
	kept    map[string]reports.Result
	missing *[]string
}

func resultOf[R reports.Result](p picker, name string) R {
	r, ok := p.kept[name].(R)
	if !ok {
		*p.missing = append(*p.missing, name)
	}
	return r
}
