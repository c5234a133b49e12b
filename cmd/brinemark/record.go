package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/urfave/cli/v2"
)

// What the commands that use the record have in common: where it is, how it is
// opened, and which of its errors gives which exit status. A command that needs
// no record calls nothing here, and pays nothing.

// recordPath is where the record is: --logbook, BRINEMARK_LOGBOOK, or the
// user's data folder.
func recordPath(c *cli.Context) (string, error) {
	if path := c.Path("logbook"); path != "" {
		return path, nil
	}
	folder, err := dataFolder(runtime.GOOS, os.Getenv)
	if err != nil {
		return "", usageError("%v; say where the record is with --logbook FILE", err)
	}
	return filepath.Join(folder, "brinemark", "logbook.db"), nil
}

// dataFolder is where a system keeps a user's data: XDG_DATA_HOME or
// ~/.local/share (XDG Base Directory Specification, which wants an absolute
// path), ~/Library/Application Support on macOS, %LocalAppData% on Windows.
func dataFolder(system string, getenv func(string) string) (string, error) {
	switch system {
	case "windows":
		if folder := getenv("LocalAppData"); folder != "" {
			return folder, nil
		}
		return "", errors.New("the user's data folder is not known (LocalAppData is not set)")
	case "darwin", "ios":
		if home := getenv("HOME"); home != "" {
			return filepath.Join(home, "Library", "Application Support"), nil
		}
	default:
		if folder := getenv("XDG_DATA_HOME"); strings.HasPrefix(folder, "/") {
			return folder, nil
		}
		if home := getenv("HOME"); home != "" {
			return filepath.Join(home, ".local", "share"), nil
		}
	}
	return "", errors.New("the user's data folder is not known (HOME is not set)")
}

// now is the clock; tests set it.
var now = time.Now

// nowFlag is for commands that say which bottles are past their date; report and
// drift have it too. Read it with givenNow.
func nowFlag() *cli.StringFlag {
	return &cli.StringFlag{Name: "now", Usage: "take `TIME` for now, such as 2026-03-01, in telling which bottle is past its date"}
}

// givenNow is --now, or the clock, in the zone of --time-zone.
func givenNow(c *cli.Context) (time.Time, error) {
	zone, err := timeZone(c)
	if err != nil {
		return time.Time{}, err
	}
	at, err := optionalTime(c, "now")
	if err != nil {
		return at, err
	}
	if at.IsZero() {
		at = now()
	}
	return at.In(zone), nil
}

// withRecord opens the record, which must be there, to read it. f's errors are
// marked for their exit status.
func withRecord(c *cli.Context, f func(*logbook.Book) error) error {
	return useRecord(c, func(path string) (*logbook.Book, error) {
		return logbook.Open(path, logbook.Options{Now: now, ReadOnly: true})
	}, f)
}

// withRecordIfThere is withRecord for a command that needs no record, but uses
// one where it is there: f gets nil where it is not.
func withRecordIfThere(c *cli.Context, f func(*logbook.Book) error) error {
	path, err := recordPath(c)
	if err != nil {
		return f(nil)
	}
	book, err := logbook.Open(path, logbook.Options{Now: now, ReadOnly: true})
	switch {
	case errors.Is(err, logbook.ErrNoRecord):
		return f(nil)
	case err != nil:
		return recordError(err)
	}
	return closing(book, f(book))
}

// changeRecord opens the record to add to it; make makes it where it is not
// there.
func changeRecord(c *cli.Context, make bool, f func(*logbook.Book) error) error {
	return useRecord(c, func(path string) (*logbook.Book, error) {
		open := logbook.Open
		if make {
			open = logbook.Create
		}
		return open(path, logbook.Options{Now: now})
	}, f)
}

func useRecord(c *cli.Context, open func(string) (*logbook.Book, error), f func(*logbook.Book) error) error {
	path, err := recordPath(c)
	if err != nil {
		return err
	}
	book, err := open(path)
	if errors.Is(err, logbook.ErrNoRecord) {
		return fmt.Errorf("%w; \"meter add\" or \"bottle add\" begins one", err)
	}
	if err != nil {
		return recordError(err)
	}
	return closing(book, f(book))
}

// closing closes the record after the work on it, whose error it marks.
func closing(book *logbook.Book, err error) error {
	if closed := book.Close(); err == nil && closed != nil {
		err = couldNotDo(closed)
	}
	return recordError(err)
}

// recordError marks the errors of the record that no input is to blame for.
func recordError(err error) error {
	var failed *failure
	var verdict *verdictError
	var busy *logbook.BusyError
	var place *fs.PathError
	switch {
	case err == nil, errors.As(err, &failed), errors.As(err, &verdict):
		return err
	case errors.As(err, &busy), errors.As(err, &place),
		errors.Is(err, logbook.ErrNewer), errors.Is(err, logbook.ErrReadOnly),
		errors.Is(err, logbook.ErrFull), errors.Is(err, logbook.ErrDamaged):
		return couldNotDo(err)
	}
	return err
}

// checkNewName refuses a name that a meter or a bottle cannot have, or should not
// be given: one that a spreadsheet takes for a formula. What has it already may be
// corrected under it.
func checkNewName(c *cli.Context, name string) error {
	if err := logbook.CheckName(name); err != nil {
		return err
	}
	if readings.IsFormula(name) && !c.Bool("correct") {
		return usageError("%s cannot be a name; want a name that does not begin with %c, which a spreadsheet takes for a formula", quantity.Quoted(name), []rune(name)[0])
	}
	return nil
}

// clockWarning warns where this machine's clock is behind the last entry.
func clockWarning(book *logbook.Book) ([]string, error) {
	last, err := book.LastSaved()
	if err != nil || !now().Before(last.Add(-time.Minute)) {
		return nil, err
	}
	return []string{fmt.Sprintf("the clock says %s, but the last entry of the record was made on %s: is the clock right?",
		now().UTC().Format(time.RFC3339), last.Format(time.RFC3339))}, nil
}

// inFuture warns where a time, to be put on record, lies in the future: of the
// date or of the clock one is wrong, and nobody knows which. what is "the event" or
// the like.
func inFuture(what string, at time.Time) []string {
	if !at.After(now().Add(time.Minute)) {
		return nil
	}
	return []string{fmt.Sprintf("%s lies in the future, %s, and the clock says it is %s: is the date right? What is on record is put right with --correct or --corrects",
		what, at.Format(time.RFC3339), now().In(at.Location()).Format(time.DateOnly))}
}

// optionalTime reads a flag that holds a time; the zero time where it is not
// given.
func optionalTime(c *cli.Context, name string) (time.Time, error) {
	if !isGiven(c, name) {
		return time.Time{}, nil
	}
	zone, err := timeZone(c)
	if err != nil {
		return time.Time{}, err
	}
	t, err := readings.ParseTime(c.String(name), zone)
	if err != nil {
		return time.Time{}, usageError("--%s: %v", name, err)
	}
	return t, nil
}
