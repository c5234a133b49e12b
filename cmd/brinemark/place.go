package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"syscall"

	"github.com/urfave/cli/v2"
)

// writtenFlags name the files that commands write; what such a flag names is
// looked at before anything else is done. The record is not among them: it makes
// its folder.
var writtenFlags = []string{"out", "plot", "csv", "calendar", "events", "daily"}

// checkPlaces finds out that files can stand where the flags of a command name
// them, and that they take the place of nothing that the command reads, and of no
// record.
func checkPlaces(c *cli.Context) error {
	for _, f := range c.Command.Flags {
		name := f.Names()[0]
		if !slices.Contains(writtenFlags, name) {
			continue
		}
		path := c.Path(name)
		if typed, given, err := last[string](c, name); err == nil && given {
			path = typed
		}
		if path == "" || path == "-" {
			continue
		}
		if _, err := findPlace("--"+name, path); err != nil {
			return err
		}
		sources, err := sourcesFor(c, name)
		if err != nil {
			return err
		}
		if err := keepSources("--"+name, path, sources); err != nil {
			return err
		}
	}
	return nil
}

// place is where a file is to be written.
type place struct {
	path     string // with links followed
	mode     os.FileMode
	special  bool // what is there is no file, but a device or a pipe
	replaces bool // there is a file already
}

// outputMode are the rights of a new file: a temporary one has fewer.
const outputMode = 0o644

// findPlace looks at what is there. It is bad usage to name a folder, or a file
// in a folder that is not there; named is the flag, or the argument, that does.
func findPlace(named, path string) (place, error) {
	p := place{path: path, mode: outputMode}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		p.path = real
	}
	info, err := os.Stat(p.path)
	switch {
	case err == nil && info.IsDir():
		return p, usageError("%s %s: is a folder; want the name of a file", named, path)
	case err == nil:
		p.mode, p.special, p.replaces = info.Mode().Perm(), !info.Mode().IsRegular(), true
		return p, nil
	}
	folder := filepath.Dir(p.path)
	switch info, lost := os.Stat(folder); {
	case lost == nil && !info.IsDir():
		return p, usageError("%s %s: %s is a file, not a folder", named, path, folder)
	case isMissing(lost):
		return p, usageError("%s %s: there is no folder %s", named, path, folder)
	case !errors.Is(err, os.ErrNotExist):
		return p, couldNotDo(fmt.Errorf("%s: %w", named, err))
	}
	return p, nil
}

// isMissing tells that there is no such folder, in one that is there or in what is
// no folder itself.
func isMissing(err error) bool {
	return errors.Is(err, os.ErrNotExist) || errors.Is(err, syscall.ENOTDIR)
}
