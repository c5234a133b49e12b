package page_test

import (
	"os"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/reports/page"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A page is a list of blocks, written as HTML or as Markdown.
func ExamplePage() {
	table := page.Table{Caption: "Checks", Columns: []page.Column{{Name: "time"}, {Name: "error", Unit: "%", Number: true}}}
	table.Row("2026-03-01", "+1.2")
	p := page.Page{
		Title: "Meter " + page.Name("tent pen"), Lead: "It is within its tolerance.",
		Blocks: []page.Block{page.Heading{Level: 2, Text: "Results"}, table},
	}
	if err := p.Markdown(os.Stdout); err != nil {
		panic(err)
	}
	// Output:
	// # Meter tent pen
	//
	// It is within its tolerance.
	//
	// ## Results
	//
	// **Checks**
	//
	// | time | error, % |
	// | --- | ---: |
	// | 2026-03-01 | +1.2 |
}

// Names of right-to-left writing stand apart from the words around them.
func TestNamesAreIsolated(t *testing.T) {
	var b strings.Builder
	p := page.Page{Title: "Meter " + page.Name("מד") + " of 2026"}
	require.NoError(t, p.HTML(&b))
	assert.Contains(t, b.String(), "<h1>Meter <bdi>מד</bdi> of 2026</h1>")
	assert.Contains(t, b.String(), "<title>Meter מד of 2026</title>")
}
