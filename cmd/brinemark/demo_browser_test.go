package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pages of the demonstration in a browser: nothing said, nothing asked for,
// nothing wider than a phone.
func TestDemoPagesInABrowser(t *testing.T) {
	b := newBrowser(t)
	d, folder := sharedDemo(t), t.TempDir()
	var pages []string
	for name, text := range d.files {
		if strings.HasSuffix(name, ".html") {
			path := filepath.Join(folder, name)
			require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
			if name != labelsFile && name != sheetFile { // made for paper
				pages = append(pages, path)
			}
		}
	}
	require.Len(t, pages, 6)
	b.good(pages...)

	// On paper the story comes first, then the commands without what they
	// printed.
	for _, size := range []string{"A4", "letter"} {
		sheets := b.printed(filepath.Join(folder, demoPage), size)
		assert.Equal(t, demoSheets, len(sheets), size)
		for _, pair := range [][2]string{
			{"Calibration of old-pen", "The calibration of the old pen"}, {"Drift of tub-probe", "The drift of the probe"},
			{"What happened to the tub", "water added"},
		} {
			assert.Equal(t, sheetOf(t, sheets, pair[0]), sheetOf(t, sheets, pair[1]), "%s: %v", size, pair)
		}
		all := strings.Join(sheets, "")
		assert.NotContains(t, all, "Where the uncertainty comes from", "the page of a phone has it, and results")
		assert.Contains(t, all, "$ brinemark recipe")
	}
}

// demoSheets is how many sheets of paper the story takes.
const demoSheets = 12
