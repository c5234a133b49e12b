package readings_test

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/readings"
)

// A spreadsheet with a German setting wrote this file: semicolons, decimal
// commas, a column of its own, and a bottle whose uncertainty nobody knows.
func Example() {
	file := "reading;ref;u_ref;shelf\n1,43;1,413;0,004;left\n2,81;2,764;;right\n"
	spec := readings.Spec{Columns: []readings.Column{
		{Name: "ref", Type: readings.Number, Required: true, Filled: true},
		{Name: "reading", Type: readings.Number, Required: true, Filled: true},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
	}}
	t, err := readings.Read(strings.NewReader(file), "pen.csv", spec)
	if err != nil {
		fmt.Println(err)
		return
	}
	for row := range t.Len() {
		ref, _, _ := t.Float(row, "ref")
		u, known, _ := t.Float(row, "u_ref")
		fmt.Println(ref, u, known)
	}
	for _, note := range t.Notes {
		fmt.Println(note)
	}
	// Output:
	// 1.413 0.004 true
	// 2.764 0 false
	// pen.csv: the column "shelf" is ignored
	// pen.csv: commas in numbers are decimal commas ("1,413" is 1.413)
}

func ExampleError() {
	file := "ref,reading\n1413,1430\n2764,600ppm\n"
	spec := readings.Spec{Columns: []readings.Column{{Name: "reading", Type: readings.Number, Required: true}}}
	_, err := readings.Read(strings.NewReader(file), "pen.csv", spec)
	fmt.Println(err)
	// Output:
	// pen.csv, row 3, column reading: found "600ppm"; want a number, or an empty cell where it is not known
}
