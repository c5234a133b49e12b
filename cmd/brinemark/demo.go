package main

import (
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
		Description: `Writes what an invented grower wrote down in a winter to DIR as plain CSV files,
and runs the whole job on it with a record of its own, DIR/logbook.db: bottles
are made and weighed again, four meters checked over months, two compared, one
followed as it drifts, and a month of its log put right. Every command is shown
as you could type it; what it printed is left in DIR/results, as text and as
JSON. DIR/index.html tells the story, with pictures: open it in a browser.

DIR is made, in a folder that is there; one that is there already must be empty.
Nothing outside DIR is touched.

   brinemark demo ./brinemark-demo`,
		Action: runDemo,
	}
}

func runDemo(c *cli.Context) (err error) {
	args, err := arguments(c, "DIR")
	if err != nil {
		return err
	}
	if args[0] == "" {
		return usageError("demo needs the name of a folder, such as brinemark-demo")
	}
	result := reports.Demo{Dir: filepath.Clean(args[0]), Page: demoPage}
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
	for _, f := range files {
		if err := writeDemoFile(&result, f.Name, f.About, f.Content); err != nil {
			return err
		}
	}
	story := demoRun{c: c, result: &result, kept: map[string]reports.Result{}}
	if err := story.tell(demoStory(bottles)); err != nil {
		return err
	}
	if err := writeDemoFile(&result, "README.txt", "this list of files, and the commands", []byte(demoReadme(&result))); err != nil {
		return err
	}
	if err := story.writePage(); err != nil {
		return err
	}
	return render(c, &result)
}

// demoReadme is the text that lies in the folder.
func demoReadme(result *reports.Demo) string {
	var b strings.Builder
	b.WriteString(demoAbout)
	for _, f := range result.Files {
		if f.About != "" {
			fmt.Fprintf(&b, "%-26s %s\n", f.Name, f.About)
		}
	}
	fmt.Fprintf(&b, "%-26s what each command printed, as text and as JSON\n", "results/")
	b.WriteString("\nThe commands, in this folder. They were run with the clock of the story; typed\ntoday, \"on record\" bears today's day, and bottles past their date are warned of.\nWhat is already on record is refused the second time: for a run of your own,\nput the tables from old-pen.csv to tub-log.csv into a new folder and type them\nthere.\n")
	for _, chapter := range result.Chapters {
		fmt.Fprintf(&b, "\n%s\n\n", chapter.Title)
		for _, s := range chapter.Steps {
			fmt.Fprintf(&b, "  %s\n", s.Command)
		}
	}
	return b.String()
}

// writeDemoFile writes a new file in the folder, named relative to it, and
// lists it.
func writeDemoFile(result *reports.Demo, name, about string, content []byte) error {
	path := filepath.Join(result.Dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return couldNotDo(err)
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return couldNotDo(err)
	}
	result.Files = append(result.Files, reports.DemoFile{Name: name, About: about})
	_, err = file.Write(content)
	if err := errors.Join(err, file.Close()); err != nil {
		return couldNotDo(err)
	}
	return nil
}

// besideRecord are the files that a database keeps beside its own while it is
// written.
var besideRecord = []string{"-journal", "-wal", "-shm"}

// removeDemo takes back what a demonstration has written.
func removeDemo(result reports.Demo, madeFolder bool) {
	for _, f := range result.Files {
		path := filepath.Join(result.Dir, filepath.FromSlash(f.Name))
		os.Remove(path)
		for _, ending := range besideRecord {
			os.Remove(path + ending)
		}
	}
	os.Remove(filepath.Join(result.Dir, resultsFolder)) // only if empty
	if madeFolder {
		os.Remove(result.Dir)
	}
}

// emptyFolder makes sure that dir is a folder of ours to fill: it makes one
// that is not there, in a folder that is, and refuses one that holds anything.
func emptyFolder(dir string) (made bool, err error) {
	parent := filepath.Dir(dir)
	if info, err := os.Stat(parent); err != nil || !info.IsDir() {
		return false, fmt.Errorf("demo %s: there is no folder %s; make it first, or name a new folder in one that is there, such as: brinemark demo %s",
			dir, parent, reports.ShellWord(filepath.Base(dir)))
	}
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.Mkdir(dir, 0o755); err != nil {
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
