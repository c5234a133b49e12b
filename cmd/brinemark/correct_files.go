package main

import (
	"bufio"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"
)

// openLog opens a log, unpacking one whose name ends in .gz, with a progress
// bar on a terminal.
func openLog(c *cli.Context, path string) (io.ReadCloser, string, error) {
	file, name, err := openInput(c, path)
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
		log.Reader = packed
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
// when something fails.
func writeLog(c *cli.Context, path string, fill func(io.Writer) error) error {
	if path == "" || path == "-" {
		return fill(c.App.Writer)
	}
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return couldNotDo(fmt.Errorf("--out: %w", err))
	}
	defer os.Remove(file.Name()) // of no effect once it has been renamed
	defer file.Close()
	if err := fillPacked(file, strings.HasSuffix(path, ".gz"), fill); err != nil {
		return err
	}
	if err := file.Sync(); err != nil {
		return couldNotDo(fmt.Errorf("--out: %w", err))
	}
	if err := file.Close(); err != nil {
		return couldNotDo(fmt.Errorf("--out: %w", err))
	}
	if err := os.Chmod(file.Name(), outputMode); err != nil {
		return couldNotDo(fmt.Errorf("--out: %w", err))
	}
	if err := os.Rename(file.Name(), path); err != nil {
		return couldNotDo(fmt.Errorf("--out: %w", err))
	}
	return nil
}

// outputMode are the rights of a written log: a temporary file has fewer.
const outputMode = 0o644

// fillPacked has a file written, packed where asked for.
func fillPacked(file io.Writer, packed bool, fill func(io.Writer) error) error {
	if !packed {
		return fill(file)
	}
	w := gzip.NewWriter(file)
	if err := fill(w); err != nil {
		return err
	}
	return w.Close()
}
