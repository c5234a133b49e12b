package logbook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
)

// Backup writes the record to a new file: one state of it, whatever others
// write meanwhile, complete under its name or not there at all. It refuses to
// overwrite; the error then wraps [fs.ErrExist]. The copy is a record like any
// other, and like it readable by its owner alone.
func (b *Book) Backup(path string) error {
	if exists(path) {
		return taken(path)
	}
	part, err := reserve(path)
	if err != nil {
		return fmt.Errorf("backup: %w", err)
	}
	defer discard(part)
	conn, err := b.db.Conn(context.Background())
	if err != nil {
		return b.plain("backup", err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(context.Background(), "VACUUM INTO ?", part); err != nil {
		return b.plain("backup", err)
	}
	if err := checkHeader(part); err != nil {
		return fmt.Errorf("backup: %w", err)
	}
	err = publish(part, path)
	if errors.Is(err, fs.ErrExist) {
		return taken(path)
	}
	if err != nil {
		return fmt.Errorf("backup: %w", err)
	}
	return nil
}

func taken(path string) error {
	return &failure{text: fmt.Sprintf("%s is there already and was left as it is; give a new name", path), cause: fs.ErrExist}
}
