package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
)

// preparedFile is a file that waits beside its place until all else has been
// done. keep gives it its name; drop, which is always due, removes what has not
// got one. What is no file (a device, a pipe) is written into by fill.
type preparedFile struct {
	path  string // as it was named; "" for no file
	place place
	file  *temporary // nil for no file
}

// reserveFile finds out that the file that a flag names can be written. "" is no
// file, and then nothing is done.
func reserveFile(flag, path string) (*preparedFile, error) {
	f := &preparedFile{path: path}
	if path == "" {
		return f, nil
	}
	var err error
	if f.place, err = findPlace(flag, path); err != nil {
		return nil, err
	}
	if f.place.special {
		return f, nil
	}
	if f.file, err = newTemporary(f.place, path); err != nil {
		return nil, couldNotWrite(path, err)
	}
	return f, nil
}

// fill writes the file, whole or not at all as far as its place can tell.
func (f *preparedFile) fill(write func(io.Writer) error) error {
	var b bytes.Buffer
	err := write(&b)
	switch {
	case err != nil:
	case f.file == nil:
		err = writeInto(f.place.path, b.Bytes())
	default:
		if _, err = f.file.Write(b.Bytes()); err == nil {
			err = f.file.Sync()
		}
	}
	if err != nil {
		return couldNotWrite(f.path, err)
	}
	return nil
}

// prepareFile reserves a file and fills it.
func prepareFile(flag, path string, write func(io.Writer) error) (*preparedFile, error) {
	f, err := reserveFile(flag, path)
	if err != nil {
		return nil, err
	}
	if err := f.fill(write); err != nil {
		f.drop()
		return nil, err
	}
	return f, nil
}

func writeInto(path string, text []byte) error {
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	return errors.Join(err, file.Close())
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
	return couldNotDo(fmt.Errorf("write %s: %w", path, withoutName(err)))
}

// writeBeside writes a file beside the result: whole, or what is there stays.
func writeBeside(flag, path string, write func(io.Writer) error) error {
	f, err := prepareFile(flag, path, write)
	if err != nil {
		return err
	}
	defer f.drop()
	return f.keep()
}
