package label_test

import (
	"fmt"

	"github.com/brinemark/brinemark/reports/label"
)

// Two bottles on one sheet of A4, three labels across.
func Example() {
	a4, _ := label.PaperByName("a4")
	sheets, warnings, err := label.Lay([]label.Label{
		{ID: "A", Name: "A", Lines: []label.Line{{Text: "NaCl, 600 mg/L"}}},
		{ID: "B", Name: "B", Lines: []label.Line{{Text: "NaCl, 900 mg/L"}}},
	}, label.Layout{Paper: a4, WidthMM: 70, HeightMM: 37})
	fmt.Println(len(sheets), sheets[0].Labels(), warnings, err)
	// Output: 1 2 [] <nil>
}
