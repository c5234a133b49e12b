package picture_test

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/reports/picture"
)

// A meter's readings against their references, with the line through them.
func Example() {
	chart := &picture.Chart{
		Title: "Calibration of P1",
		X:     picture.Axis{Name: "reading, uS/cm"}, Y: picture.Axis{Name: "reference, uS/cm"},
		Layers: []picture.Layer{
			picture.Curve{Name: "line", Role: picture.Fitted, Pieces: [][]picture.XY{{{X: 400, Y: 420}, {X: 1400, Y: 1450}}}},
			picture.Points{Name: "reading", List: []picture.Point{{X: 430, Y: 450}, {X: 905, Y: 940}, {X: 1370, Y: 1420}}},
		},
	}
	lines, legend := chart.Screen(44)
	fmt.Println(strings.Join(lines, "\n"))
	fmt.Println(strings.Join(legend, "; "))
	// Output:
	// reference, uS/cm
	//      |
	//      |                                   o*
	// 1400 |                                ***
	//      |                              **
	// 1200 |                            **
	//      |                         ***
	//      |                       **
	// 1000 |                    ***
	//      |                  *o
	//      |               ***
	//  800 |             **
	//      |          ***
	//      |        **
	//  600 |      **
	//      |   ***
	//  400 | *o
	//      |
	//      +--------------------------------------
	//       400    600    800   1000   1200   1400
	//                               reading, uS/cm
	// o reading; * line
}
