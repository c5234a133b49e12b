package logbook

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// All that is done to files without SQLite.

// ApplicationID marks the file of a record, in the database header's field for
// it: the letters BrMk.
const ApplicationID = 0x42724d6b

// headerSize is the length of an SQLite database header.
const headerSize = 100

// checkHeader looks at the first bytes of a file, before SQLite has it. An
// empty file is a record nobody has written to yet. Offsets are those of the
// SQLite file format, "the database header".
func checkHeader(path string) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	header := make([]byte, headerSize)
	n, err := io.ReadFull(file, header)
	switch {
	case n == 0 && errors.Is(err, io.EOF):
		return nil
	case err != nil && !errors.Is(err, io.ErrUnexpectedEOF):
		return err
	case n < headerSize || string(header[:16]) != "SQLite format 3\x00":
		return &NotARecordError{path, "not an SQLite database"}
	case binary.BigEndian.Uint32(header[68:]) != ApplicationID:
		return &NotARecordError{path, "a database of another program"}
	}
	return nil
}

// opened counts the records this process has open. Closing any descriptor of a
// file drops the locks of the whole process on it (POSIX advisory locks), so
// the header of a record that is open here must not be looked at: it was, when
// it was opened.
var opened struct {
	sync.Mutex
	files []openFile
}

type openFile struct {
	info  fs.FileInfo
	count int
}

// enter checks the header of a file, unless it is open already, and counts it.
func enter(path string) (leave func(), err error) {
	opened.Lock()
	defer opened.Unlock()
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w", path, ErrNoRecord)
	}
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() { // opening a pipe would wait for its other end
		return nil, &NotARecordError{path, "not a plain file"}
	}
	at := find(info)
	if at < 0 {
		if err := checkHeader(path); err != nil {
			return nil, err
		}
		opened.files = append(opened.files, openFile{info: info})
		at = len(opened.files) - 1
	}
	opened.files[at].count++
	return func() { forget(info) }, nil
}

func find(info fs.FileInfo) int {
	for i, f := range opened.files {
		if os.SameFile(f.info, info) {
			return i
		}
	}
	return -1
}

func forget(info fs.FileInfo) {
	opened.Lock()
	defer opened.Unlock()
	if at := find(info); at >= 0 {
		if opened.files[at].count--; opened.files[at].count == 0 {
			opened.files = append(opened.files[:at], opened.files[at+1:]...)
		}
	}
}

// createFile makes an empty file that its owner alone can read, and its folder
// likewise, unless it is there. SQLite gives the files beside it (-wal, -shm)
// the same permissions.
func createFile(path string) error {
	if info, err := os.Stat(path); err == nil {
		return closeToOthers(path, info)
	}
	if err := makeFolder(path); err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if errors.Is(err, fs.ErrExist) {
		if !exists(path) {
			return fmt.Errorf("the record cannot be made: %s is a link to what is not there: %w", path, err)
		}
		return nil // another process was faster
	}
	if err != nil {
		return fmt.Errorf("the record cannot be made: %w", err)
	}
	if err := file.Close(); err != nil {
		return err
	}
	return syncFolder(path)
}

// makeFolder makes the folder of a record, which its owner alone can enter,
// unless it is there.
func makeFolder(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("the record's folder cannot be made: %w", err)
	}
	return nil
}

// closeToOthers takes an empty file, which is about to become a record, from
// everybody but its owner; one with content keeps the permissions it was given.
func closeToOthers(path string, info fs.FileInfo) error {
	const others = 0o077
	if !info.Mode().IsRegular() || info.Size() > 0 || info.Mode()&others == 0 {
		return nil
	}
	return os.Chmod(path, info.Mode().Perm()&^others)
}

// syncFolder makes a new name last through a power cut, where the system can.
func syncFolder(path string) error {
	folder, err := os.Open(filepath.Dir(path))
	if err != nil {
		return nil // Windows cannot, and needs not
	}
	defer folder.Close()
	_ = folder.Sync()
	return nil
}

// exists tells whether there is a file.
func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// isMissing tells whether nothing has the name: no file, and no link either.
func isMissing(path string) bool {
	_, err := os.Lstat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// isEmpty tells whether a file holds nothing, or is not there.
func isEmpty(path string) bool {
	info, err := os.Stat(path)
	return err != nil && errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0
}

// reserve makes an empty file with a name of its own beside path.
func reserve(path string) (string, error) {
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".part-*") // mode 0600
	if err != nil {
		return "", err
	}
	return file.Name(), file.Close()
}

// publish gives a finished file its name, unless that is taken: all of it, or
// nothing.
func publish(part, path string) error {
	file, err := os.OpenFile(part, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	err = errors.Join(file.Sync(), file.Close())
	if err != nil {
		return err
	}
	err = os.Link(part, path) // fails where the name is taken
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	if err != nil { // a file system without links
		if exists(path) {
			return fs.ErrExist
		}
		if err := os.Rename(part, path); err != nil {
			return err
		}
	} else if err := os.Remove(part); err != nil {
		return err
	}
	return syncFolder(path)
}

// discard removes an unfinished file; one that is gone already is fine.
func discard(part string) { _ = os.Remove(part) }
