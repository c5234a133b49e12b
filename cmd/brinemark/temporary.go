package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// temporary is a file that waits beside its place until it is complete. Its own
// name is nobody's business: errors are of the file that was asked for.
type temporary struct {
	*os.File
	asked string
}

// newTemporary makes one beside a place, for a file that was asked for by some
// name. An error has no name in it.
func newTemporary(p place, asked string) (*temporary, error) {
	file, err := os.CreateTemp(filepath.Dir(p.path), "."+filepath.Base(p.path)+".*")
	if err != nil {
		return nil, withoutName(err)
	}
	return &temporary{file, asked}, nil
}

// Write writes into the file.
func (t *temporary) Write(text []byte) (int, error) {
	n, err := t.File.Write(text)
	if err != nil {
		err = &fs.PathError{Op: "write", Path: t.asked, Err: withoutName(err)}
	}
	return n, err
}

// withoutName is an error of a file without the file's name.
func withoutName(err error) error {
	var one *fs.PathError
	var two *os.LinkError
	switch {
	case errors.As(err, &one):
		return one.Err
	case errors.As(err, &two):
		return two.Err
	}
	return err
}
