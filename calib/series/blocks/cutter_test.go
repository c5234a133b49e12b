package blocks_test

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/brinemark/brinemark/calib/series/blocks"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func lastLine(text []byte) int { return bytes.LastIndexByte(text, '\n') + 1 }

// cut returns all stretches and the error that ended them.
func cut(r io.Reader, limits blocks.Limits) (stretches []string, err error) {
	cutter := blocks.NewCutter(r, limits, lastLine)
	var buf []byte
	for {
		if buf, err = cutter.Next(buf); err != nil {
			return stretches, err
		}
		stretches = append(stretches, string(buf))
	}
}

// However a text comes in, its stretches are the text, and each but the last
// ends with a row.
func FuzzCutter(f *testing.F) {
	f.Add([]byte("a\nbb\n\nccc"), byte(2), true)
	f.Add([]byte("\n\n\n"), byte(0), false)
	f.Add([]byte(""), byte(9), false)
	f.Fuzz(func(t *testing.T, text []byte, size byte, drip bool) {
		var r io.Reader = bytes.NewReader(text)
		if drip {
			r = iotest.OneByteReader(r)
		}
		stretches, err := cut(r, blocks.Limits{Size: int(size) + 1, Most: len(text) + 1})
		require.Equal(t, io.EOF, err)
		assert.Equal(t, string(text), strings.Join(stretches, ""))
		for i, s := range stretches {
			assert.NotEmpty(t, s)
			assert.True(t, i == len(stretches)-1 || strings.HasSuffix(s, "\n"), "stretch %d: %q", i, s)
		}
	})
}

func TestReadersError(t *testing.T) {
	disk := errors.New("the disk is gone")
	stretches, err := cut(io.MultiReader(strings.NewReader("a\nb\nc"), iotest.ErrReader(disk)), blocks.Limits{Size: 100, Most: 100})
	assert.Equal(t, disk, err)
	assert.Equal(t, []string{"a\nb\n"}, stretches, "whole rows before the error, and no piece of one")

	// What unpacks a file that was cut off reports it so: it is not the end.
	_, err = cut(io.MultiReader(strings.NewReader("a\nb"), iotest.ErrReader(io.ErrUnexpectedEOF)), blocks.Limits{Size: 100, Most: 100})
	assert.Equal(t, io.ErrUnexpectedEOF, err)

	_, err = cut(stuck{}, blocks.Limits{Size: 100, Most: 100})
	assert.Equal(t, io.ErrNoProgress, err)

	stretches, err = cut(iotest.DataErrReader(strings.NewReader("a\nb")), blocks.Limits{Size: 100, Most: 100})
	assert.Equal(t, io.EOF, err)
	assert.Equal(t, []string{"a\nb"}, stretches, "an end told together with the last bytes")
}

type stuck struct{}

func (stuck) Read([]byte) (int, error) { return 0, nil }

func TestLongRow(t *testing.T) {
	row := strings.Repeat("x", 50)
	for _, drip := range []bool{false, true} {
		var r io.Reader = strings.NewReader("a\n" + row + "\nb\n")
		if drip {
			r = iotest.OneByteReader(r)
		}
		stretches, err := cut(r, blocks.Limits{Size: 4, Most: 60})
		assert.Equal(t, io.EOF, err)
		assert.Equal(t, "a\n"+row+"\nb\n", strings.Join(stretches, ""))
	}
	cutter := blocks.NewCutter(strings.NewReader("a\n"+row+"\nb\n"), blocks.Limits{Size: 4, Most: 30}, lastLine)
	text, err := cutter.Next(nil)
	require.NoError(t, err)
	assert.Equal(t, "a\n", string(text))
	text, err = cutter.Next(text)
	assert.ErrorIs(t, err, blocks.ErrLongRow)
	assert.True(t, strings.HasPrefix(row, string(text)) && len(text) > 30, "what was read of it")
}

// Stretches take no memory of their own once they have been lent some.
func TestCutterAllocatesNothing(t *testing.T) {
	cutter := blocks.NewCutter(&endless{row: "2026-03-01 08:30,1200\n"}, blocks.Limits{Size: 4 << 10, Most: 1 << 20}, lastLine)
	var buf []byte
	next := func() {
		var err error
		buf, err = cutter.Next(buf)
		require.NoError(t, err)
	}
	next()
	next()
	assert.Zero(t, testing.AllocsPerRun(100, next))
}

// endless repeats a row for ever.
type endless struct {
	row string
	at  int
}

func (e *endless) Read(buf []byte) (int, error) {
	for i := range buf {
		buf[i] = e.row[e.at]
		e.at = (e.at + 1) % len(e.row)
	}
	return len(buf), nil
}
