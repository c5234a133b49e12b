package logbook

import (
	"errors"
	"fmt"
	"io/fs"
)

// ErrMeanwhile reports that another process began a record while it was being
// begun here; nothing was changed.
var ErrMeanwhile = errors.New("another process began this record meanwhile; run it again")

// Begin opens a record and fills it. One that is not there yet is made under
// its name when it has been filled, and not at all where that fails: a fill that
// is refused leaves no empty record. Errors are those of [Create] and of fill,
// or wrap [ErrMeanwhile].
func Begin(path string, o Options, fill func(*Book) error) error {
	if !isMissing(path) {
		return filled(path, o, fill)
	}
	if err := makeFolder(path); err != nil {
		return err
	}
	part, err := reserve(path)
	if err != nil {
		return fmt.Errorf("the record cannot be made: %w", err)
	}
	defer discard(part)
	defer discard(part + "-wal")
	defer discard(part + "-shm")
	if err := filled(part, o, fill); err != nil {
		return err
	}
	if !isEmpty(part + "-wal") { // closing could not bring it into the file
		return fmt.Errorf("the record cannot be made: %w", &failure{text: "what was written could not be brought into its file", cause: ErrFull})
	}
	err = publish(part, path)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s: %w", path, ErrMeanwhile)
	}
	if err != nil {
		return fmt.Errorf("the record cannot be made: %w", err)
	}
	return nil
}

// filled fills a record that is made where it is not there, and closes it.
func filled(path string, o Options, fill func(*Book) error) error {
	b, err := Create(path, o)
	if err != nil {
		return err
	}
	return errors.Join(fill(b), b.Close())
}
