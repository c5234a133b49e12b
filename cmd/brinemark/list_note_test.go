package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A list is to be looked over: the longest note takes some lines of it and no
// more, and is whole where the one thing is shown, and in JSON.
func TestListsCutLongNotes(t *testing.T) {
	s := newSession(t)
	note := "kept in the shed " + strings.Repeat("x", 9000) + " the end"
	short := "kept in the shed, behind the door, on the left"
	s.ok("meter", "add", "pen", "--quantity", "ec", "--note", note)
	s.ok("meter", "add", "P2", "--quantity", "ph", "--note", short)
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "1%", "--note", note)
	for _, command := range []string{"meter", "bottle"} {
		list := s.run(command, "list")
		assert.Less(t, strings.Count(list.stdout, "\n"), 30, "%s list", command)
		text := strings.Join(strings.Fields(list.stdout), "")
		assert.Contains(t, text, "x...", "%s list: it says that there is more", command)
		assert.NotContains(t, text, "theend")
	}
	assert.Contains(t, strings.Join(strings.Fields(s.run("meter", "list").stdout), ""), strings.ReplaceAll(short, " ", ""), "a note of a line stays")
	for _, show := range [][]string{{"meter", "show", "pen"}, {"bottle", "show", "A"}} {
		assert.Contains(t, strings.Join(strings.Fields(s.run(show...).stdout), ""), "xtheend", "%v", show)
	}
	assert.Contains(t, s.run("meter", "list", "--json").stdout, "x the end")
}
