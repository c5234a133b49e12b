package main

import (
	"bufio"
	"compress/flate"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/urfave/cli/v2"
)

// openLog opens a log, unpacking one whose name ends in .gz, with a progress
// bar on a terminal.
func openLog(c *cli.Context, path string) (io.ReadCloser, string, error) {
	file, name, err := openInputOf(c, path, "a log, CSV or JSON Lines")
	if err != nil {
		return nil, name, err
	}
	log := &openedLog{Reader: file, file: file}
	if f, ok := file.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			log.Reader = watchProgress(c, file, name, info.Size(), &log.wipe)
		}
	}
	if strings.HasSuffix(path, ".gz") {
		packed, err := gzip.NewReader(bufio.NewReaderSize(log.Reader, 64<<10))
		if err != nil {
			file.Close()
			return nil, name, fmt.Errorf("%s: found no gzip data: %w; want a file packed by gzip, or a name without .gz", name, err)
		}
		log.Reader = &unpacked{packed, name}
	}
	return log, name, nil
}

// openedLog is a log that is being read.
type openedLog struct {
	io.Reader
	file io.Closer
	wipe func()
}

func (l *openedLog) Close() error {
	if l.wipe != nil {
		l.wipe()
	}
	return l.file.Close()
}

// unpacked names the file in errors about its packing, which are the file's
// fault.
type unpacked struct {
	r    io.Reader
	name string
}

func (u *unpacked) Read(buf []byte) (int, error) {
	n, err := u.r.Read(buf)
	var damaged flate.CorruptInputError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		err = &readings.Error{File: u.name, Found: "packed data that end in the middle", Want: "the whole file, as gzip wrote it", Err: err}
	case errors.Is(err, gzip.ErrChecksum), errors.Is(err, gzip.ErrHeader), errors.As(err, &damaged):
		err = &readings.Error{File: u.name, Found: "damaged packed data", Want: "the file as gzip wrote it", Err: err}
	}
	return n, err
}

// watchProgress counts what is read for the progress bar.
func watchProgress(c *cli.Context, r io.Reader, name string, size int64, wipe *func()) io.Reader {
	show, done := progressBar(c, name+", MB")
	*wipe = done
	if show == nil {
		return r
	}
	return &progressReader{r: r, size: size, show: show}
}

type progressReader struct {
	r          io.Reader
	read, size int64
	show       func(done, most int)
}

const megabyte = 1e6

func (p *progressReader) Read(buf []byte) (int, error) {
	n, err := p.r.Read(buf)
	p.read += int64(n)
	p.show(int(p.read/megabyte), int(p.size/megabyte))
	return n, err
}

// writeLog has a log written to stdout, or into a file that gets its name when
// it is complete: what was there before stays until then, and stays for good
// when something fails. What is no file (a device, a pipe) is written into.
func writeLog(c *cli.Context, path string, fill func(io.Writer) error) error {
	if path == "" || path == "-" {
		return fill(c.App.Writer)
	}
	place, err := findPlace("--out", path)
	if err == nil {
		err = keepRecord(c, "--out", path) // a report of all has pages beside the one that was named
	}
	if err != nil {
		return err
	}
	if place.special {
		file, err := os.OpenFile(place.path, os.O_WRONLY, 0)
		if err != nil {
			return couldNotDo(fmt.Errorf("--out: %w", err))
		}
		defer file.Close()
		return fillPacked(file, strings.HasSuffix(path, ".gz"), fill)
	}
	file, err := newTemporary(place, path)
	if err != nil {
		return couldNotDo(fmt.Errorf("--out: write %s: %w", path, err))
	}
	defer os.Remove(file.Name()) // of no effect once it has been renamed
	defer file.Close()
	if err := fillPacked(file, strings.HasSuffix(path, ".gz"), fill); err != nil {
		return err
	}
	if err := finishFile(file, place); err != nil {
		return couldNotDo(fmt.Errorf("--out: write %s: %w", path, err))
	}
	return nil
}

// finishFile gives a complete file its name. What it replaces may be the log
// itself, which nobody could have again: then the new one has to be on the disk
// first, whatever time that takes. An error has no name in it.
func finishFile(file *temporary, p place) error { return withoutName(putInPlace(file, p)) }

func putInPlace(file *temporary, p place) error {
	if err := file.Chmod(p.mode); err != nil && runtime.GOOS != "windows" {
		return err
	}
	if p.replaces {
		if err := file.Sync(); err != nil {
			return err
		}
	}
	if err := file.Close(); err != nil {
		return err
	}
	return os.Rename(file.Name(), p.path)
}

// fillPacked has a file written, packed where asked for.
func fillPacked(file io.Writer, packed bool, fill func(io.Writer) error) error {
	if !packed {
		return fill(file)
	}
	w := gzip.NewWriter(file)
	if err := fill(w); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return couldNotDo(fmt.Errorf("--out: %w", err))
	}
	return nil
}
