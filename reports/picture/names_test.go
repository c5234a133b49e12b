package picture_test

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A name of ten thousand characters is cut to its room, and quickly.
func TestVeryLongNames(t *testing.T) {
	c := sample()
	c.Title = strings.Repeat("pen ", 2500)
	c.Layers = append(c.Layers, picture.Upright{Role: picture.Moment, List: []picture.Mark{{X: day(3), Label: c.Title}}}, picture.Across{Name: c.Title, Role: picture.Limit})
	document := svg(t, c)
	assertApart(t, document)
	longest := ""
	for _, b := range texts(t, document) {
		if len(b.text) > len(longest) {
			longest = b.text
		}
	}
	assert.True(t, strings.HasSuffix(longest, "...") && len(longest) < 150 && len(longest) > 50, longest)
}

// Whatever a meter is called, the SVG is well-formed and shows it as text.
func FuzzNames(f *testing.F) {
	f.Add("tent pen")
	f.Add(strings.Repeat("a long name ", 30))
	f.Add(`<a href="x">&amp;]]>` + "\x00\x85\u2028\ufffe\xff")
	f.Add("\u202e\u2066\u2068\u2069\u200f\u061c\x1b[31m\n")
	f.Add(strings.Repeat("0", 76)) // a unit that leaves no room for a name
	f.Fuzz(func(t *testing.T, name string) {
		c := tower()
		c.Title, c.About, c.Y.Name, c.Heading = typeset.Name(name)+" and "+typeset.Name("other"), name, name, name
		c.X.Unit, c.Y.Unit = name, name
		c.Below[1].Y.Names[0], c.Below[2].Y.Names[0] = name, name
		c.Layers = append(c.Layers, picture.Upright{Role: picture.Moment, List: []picture.Mark{{X: day(3), Label: name}}}, picture.Across{Name: name, Role: picture.Limit})
		document := svg(t, c)
		decoder := xml.NewDecoder(strings.NewReader(document))
		for {
			token, err := decoder.Token()
			if err == io.EOF {
				break
			}
			require.NoError(t, err, "%q", name)
			if start, ok := token.(xml.StartElement); ok {
				require.Contains(t, []string{"svg", "title", "desc", "g", "path", "text"}, start.Name.Local)
			}
		}
		commands := func(r rune) bool { return typeset.Commands(r) && r != '\n' && r != '\t' }
		require.Equal(t, -1, strings.IndexFunc(document, commands), "%q", name)
		require.Contains(t, document, " and other</text>", "a name hides no other")
		lines, legend := c.Screen(80)
		for _, l := range append(lines, legend...) {
			require.Equal(t, -1, strings.IndexFunc(l, typeset.Commands), "%q", l)
		}
		for _, l := range lines {
			require.LessOrEqual(t, typeset.Columns(l), 80)
		}
	})
}
