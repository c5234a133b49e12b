package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// preparedFile is a file that is complete, but has not got its name.
type preparedFile struct {
	path  string // as it was named; "" for no file
	place place
	file  *os.File // nil where it has been written into what is no file
}

// prepareFile writes a file beside its place, where it can wait until all else
// has been done. What is no file (a device, a pipe) is written into at once.
func prepareFile(path string, write func(io.Writer) error) (f *preparedFile, err error) {
	f = &preparedFile{path: path}
	defer func() {
		if err != nil {
			f.drop()
			f, err = nil, couldNotWrite(path, err)
		}
	}()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return f, err
	}
	if f.place, err = findPlaceFor(path); err != nil {
		return f, err
	}
	if f.place.special {
		return f, writeInto(f.place.path, b.Bytes())
	}
	if f.file, err = os.CreateTemp(filepath.Dir(f.place.path), "."+filepath.Base(f.place.path)+".*"); err != nil {
		return f, err
	}
	if _, err := f.file.Write(b.Bytes()); err != nil {
		return f, err
	}
	return f, f.file.Sync()
}

func writeInto(path string, text []byte) error {
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	return errors.Join(err, file.Close())
}

// findPlaceFor looks at what is in the place of a file.
func findPlaceFor(path string) (place, error) {
	p := place{path: path, mode: outputMode}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		p.path = real
	}
	info, err := os.Stat(p.path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return p, nil
	case err != nil:
		return p, err
	case info.IsDir():
		return p, errors.New("it is a folder; want the name of a file")
	}
	p.mode, p.special = info.Mode().Perm(), !info.Mode().IsRegular()
	return p, nil
}

// keep gives the file its name.
func (f *preparedFile) keep() error {
	if f.file == nil {
		return nil
	}
	if err := finishFile(f.file, f.place); err != nil {
		return couldNotWrite(f.path, err)
	}
	f.file = nil
	return nil
}

// drop removes the file; of no effect once it has its name.
func (f *preparedFile) drop() {
	if f.file != nil {
		f.file.Close()
		os.Remove(f.file.Name())
	}
}

func couldNotWrite(path string, err error) error {
	return couldNotDo(fmt.Errorf("write %s: %w", path, err))
}

// writeBeside writes a file beside the result: whole, or what is there stays.
func writeBeside(path string, write func(io.Writer) error) error {
	f, err := prepareFile(path, write)
	if err != nil {
		return err
	}
	defer f.drop()
	return f.keep()
}
