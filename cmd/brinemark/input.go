package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// readTable reads a CSV file, or standard input for "-", in the zone of
// --time-zone, and writes its notes to stderr.
func readTable(c *cli.Context, path string, spec readings.Spec) (*readings.Table, error) {
	zone, err := timeZone(c)
	if err != nil {
		return nil, err
	}
	spec.Zone = zone
	file, name, err := openInput(c, path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	table, err := readings.Read(file, name, spec)
	var place *readings.Error
	if err != nil && !errors.As(err, &place) {
		return nil, couldNotDo(err) // the disk's fault, not the file's
	}
	if err != nil {
		return nil, err
	}
	for _, text := range table.Notes {
		note(c, "%s", text)
	}
	return table, nil
}

// unreadRows are those of a bench sheet's table that nobody filled in: a meter and
// a bottle without a reading. One whose state was written beforehand is one as well.
func unreadRows() *readings.Unread {
	return &readings.Unread{Column: "reading", Needs: "bottle", Beside: append(reports.SheetColumns(), "state")}
}

// openInput opens a file, or standard input for "-", and gives the name it has
// in messages. A file that is not there is bad input; one that cannot be read
// is not.
func openInput(c *cli.Context, path string) (io.ReadCloser, string, error) {
	return openInputOf(c, path, "a CSV file")
}

// openInputOf is openInput for another kind of file, which the message about a
// folder names.
func openInputOf(c *cli.Context, path, want string) (io.ReadCloser, string, error) {
	if path == "-" {
		return io.NopCloser(c.App.Reader), "standard input", nil
	}
	name := filepath.Base(path)
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, name, fmt.Errorf("%s: there is no such file", path)
	}
	if err != nil {
		return nil, name, couldNotDo(err)
	}
	if info, err := file.Stat(); err == nil && info.IsDir() {
		file.Close()
		return nil, name, fmt.Errorf("%s: is a folder; want %s", path, want)
	}
	return file, name, nil
}
