package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// What the demonstration leaves beside the files of its commands.
const (
	resultsFolder = "results"
	demoRecord    = "logbook.db"
	demoPage      = "index.html"
)

// demoChapter is a part of the demonstration's story.
type demoChapter struct {
	title string
	steps []demoStep
}

// demoStep is one command of the demonstration.
type demoStep struct {
	name    string // of its files in results, after their number
	why     string
	clock   time.Time // when it is typed
	command []string  // after "brinemark", in the folder
	makes   []reports.DemoFile
}

// demoRun runs a story in its folder, and keeps what the commands found.
type demoRun struct {
	c        *cli.Context
	result   *reports.Demo
	kept     map[string]reports.Result // by the step's name
	pictures []reports.DemoPicture     // without their content
}

// tell runs all commands as a person types them: in the folder, one after the
// other, by the clock of the story.
func (d *demoRun) tell(story []demoChapter) (err error) {
	number := 0
	for _, chapter := range story {
		d.result.Chapters = append(d.result.Chapters, reports.DemoChapter{Title: chapter.title})
		if err := d.show(func(w io.Writer) error { return reports.Heading(w, style(d.c), chapter.title) }); err != nil {
			return err
		}
		for _, step := range chapter.steps {
			number++
			if err := d.run(fmt.Sprintf("%02d-%s", number, step.name), step); err != nil {
				return err
			}
		}
	}
	return nil
}

// run runs one command, keeps what it printed and what it found, and shows
// both.
func (d *demoRun) run(name string, step demoStep) error {
	typed := d.c.App.Name + " " + reports.ShellWords(step.command)
	d.result.Files = append(d.result.Files, step.makes...)
	for _, f := range step.makes {
		if path.Ext(f.Name) == ".svg" {
			d.pictures = append(d.pictures, reports.DemoPicture{Of: step.name, File: f.Name, About: f.About})
		}
	}
	printed, found, err := runInFolder(d.result.Dir, step)
	if err != nil {
		return couldNotDo(fmt.Errorf("demo: %s: %w", typed, err))
	}
	s := reports.DemoStep{Name: step.name, Why: step.why, Command: typed, Printed: printed, TextFile: path.Join(resultsFolder, name+".txt")}
	if err := writeDemoFile(d.result, s.TextFile, "", []byte(printed)); err != nil {
		return err
	}
	if found != nil {
		var object bytes.Buffer
		if err := reports.WriteJSON(&object, found); err != nil {
			return couldNotDo(fmt.Errorf("demo: %s: %w", typed, err))
		}
		s.JSONFile = path.Join(resultsFolder, name+".json")
		if err := writeDemoFile(d.result, s.JSONFile, "", object.Bytes()); err != nil {
			return err
		}
		d.kept[step.name] = found
	}
	last := len(d.result.Chapters) - 1
	d.result.Chapters[last].Steps = append(d.result.Chapters[last].Steps, s)
	return d.show(func(w io.Writer) error { return s.Print(w, style(d.c)) })
}

// show writes to the person's screen, unless JSON is wanted there.
func (d *demoRun) show(what func(io.Writer) error) error {
	if d.c.Bool("json") {
		return nil
	}
	var out bytes.Buffer
	if err := what(&out); err != nil {
		return couldNotDo(err)
	}
	return write(d.c.App.Writer, out.Bytes())
}

// runInFolder runs a command in a folder, by a clock, and returns what it
// printed and the result that it printed, nil where it wrote a file alone.
func runInFolder(dir string, step demoStep) (printed string, found reports.Result, err error) {
	home, err := os.Getwd()
	if err != nil {
		return "", nil, err
	}
	if err := os.Chdir(dir); err != nil {
		return "", nil, err
	}
	clock := now
	now = func() time.Time { return step.clock }
	defer func() {
		now = clock
		if back := os.Chdir(home); err == nil {
			err = back
		}
	}()
	var out, notes bytes.Buffer
	app := newApp(commands(), strings.NewReader(""), &out, &notes)
	app.Metadata = map[string]any{keeper: func(r reports.Result) { found = r }}
	if err := runArguments(app, append([]string{app.Name}, step.command...), &out, &notes); err != nil {
		return "", nil, fmt.Errorf("it ended with status %d: %w", exitStatus(err), err)
	}
	for _, f := range step.makes {
		if _, err := os.Stat(filepath.FromSlash(f.Name)); err != nil {
			return "", nil, fmt.Errorf("it made no %s", f.Name)
		}
	}
	return out.String() + notes.String(), found, nil
}
