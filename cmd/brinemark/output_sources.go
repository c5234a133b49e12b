package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// source is a file that a command reads, and what it is in words.
type source struct{ path, what string }

// recordSuffixes are what SQLite puts behind a record's name for the files that
// belong to it while it is open, or when it was not closed.
var recordSuffixes = []string{"", "-wal", "-shm", "-journal"}

// rewrites are the flags that may name the file that the command reads, which it
// then writes anew in its place.
var rewrites = []string{"correct --out"}

// recordSources are the record and the files that belong to it, by the name that
// was typed and by that of the file which links lead to. The record counts where
// nothing is read of it, and where it is not there yet, as well.
func recordSources(c *cli.Context) []source {
	path, err := recordPath(c)
	if err != nil {
		return nil
	}
	var list []source
	for _, path := range slices.Compact([]string{path, followed(path)}) {
		for _, suffix := range recordSuffixes {
			what := "the record"
			if suffix != "" {
				what = "a file of the record " + filepath.Base(path)
			}
			list = append(list, source{path + suffix, what})
		}
	}
	return list
}

// sourcesFor are the files of which the output of a flag must not take the place.
func sourcesFor(c *cli.Context, flag string) ([]source, error) {
	list := recordSources(c)
	for _, f := range c.Command.Flags {
		if f.Names()[0] != "calibration" {
			continue
		}
		paths, err := calibrationPaths(c)
		if err != nil {
			return nil, err
		}
		for _, path := range paths {
			list = append(list, source{path, "a calibration file"})
		}
	}
	if words := commandWords(c); readsFiles(c.Command) && !slices.Contains(rewrites, words+" --"+flag) {
		what := "a file that is read"
		if words == "correct" {
			what = "the log itself"
		}
		for _, path := range c.Args().Slice() {
			list = append(list, source{path, what})
		}
	}
	return list, nil
}

// readsFiles tells that the arguments of a command are files that it reads.
func readsFiles(c *cli.Command) bool {
	return strings.HasPrefix(c.ArgsUsage, "FILE.csv") || strings.HasPrefix(c.ArgsUsage, "LOG.csv")
}

// calibrationPaths are the files of --calibration, as constants and correct have
// it.
func calibrationPaths(c *cli.Context) ([]string, error) {
	if c.Command.Name == "constants" {
		return all[string](c, "calibration")
	}
	settings, err := all[columnSetting](c, "calibration")
	var paths []string
	for _, s := range settings {
		paths = append(paths, s.value)
	}
	return paths, err
}

// keepRecord refuses a name for output that is the record's, or that of a file
// of it.
func keepRecord(c *cli.Context, named, path string) error {
	return keepSources(named, path, recordSources(c))
}

// keepSources refuses a name for output that is a source's: by another path, or
// by a link, too. named is the flag, or the argument, with the name.
func keepSources(named, path string, sources []source) error {
	if path == "" || path == "-" {
		return nil
	}
	there, err := os.Stat(path)
	if err == nil && !there.Mode().IsRegular() {
		return nil // nothing to lose, or for others to say
	}
	for _, s := range sources {
		if s.path == "-" {
			continue
		}
		same := followed(path) == followed(s.path)
		if info, lost := os.Stat(s.path); err == nil && lost == nil {
			same = same || os.SameFile(there, info)
		}
		if same {
			return usageError("%s: is %s; want a file of its own", strings.TrimSpace(fmt.Sprintf("%s %s", named, path)), s.what)
		}
	}
	return nil
}

// followed is the full path of a file with links followed, those of its folder
// where it is not there itself.
func followed(path string) string {
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(path))
	if err != nil {
		return path
	}
	return filepath.Join(folder, filepath.Base(path))
}
