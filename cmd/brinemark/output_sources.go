package main

import (
	"os"

	"github.com/urfave/cli/v2"
)

// source is a file that a command reads, and what it is in words.
type source struct{ path, what string }

// sourcesOf are the calibration files and the record: no output may take their
// place, whatever name they are called by. The record counts where nothing is
// read of it as well.
func sourcesOf(c *cli.Context, calibrations []string) []source {
	var sources []source
	for _, path := range calibrations {
		sources = append(sources, source{path, "a calibration file"})
	}
	if path, err := recordPath(c); err == nil {
		sources = append(sources, source{path, "the record"})
	}
	return sources
}

// keepSources refuses a name for output that is a source's: by another path, or
// by a link, too.
func keepSources(flag, path string, sources []source) error {
	there, err := os.Stat(path)
	if err != nil || !there.Mode().IsRegular() {
		return nil // nothing to lose, or for others to say
	}
	for _, s := range sources {
		if info, err := os.Stat(s.path); err == nil && os.SameFile(there, info) {
			return usageError("--%s %s: is %s; want a file of its own", flag, path, s.what)
		}
	}
	return nil
}
