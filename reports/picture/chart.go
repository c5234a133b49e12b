package picture

import (
	"math"
	"time"
)

// Chart is a picture of one panel or several, one below the other.
type Chart struct {
	Title string
	About string // in a sentence or two, for those who cannot see it
	// The first panel, as a [Panel] has it.
	Heading string
	X, Y    Axis
	Layers  []Layer // the first lies lowest
	Tall    float64
	// Below are the panels under the first.
	Below []Panel
}

// Panel is a part of a chart with axes of its own.
type Panel struct {
	Heading string // over it; "" for none
	X       *Axis  // nil: that of the panel above, which then shows no labels
	Y       Axis
	Layers  []Layer
	// Tall is its height as a part of that of a chart of one panel; 0 stands for
	// 1. A panel whose Y axis has names is as high as they need.
	Tall float64
}

// Axis is what an axis shows. What a person named stands in its texts, as in all
// others of a chart, within [typeset.Name].
type Axis struct {
	Name  string         // of the quantity; "" for dates, which are named by what is shown of them
	Unit  string         // in ASCII; "" for none, or where Name says it
	Scale float64        // what values are multiplied by to be in that unit; 0 stands for 1
	Zone  *time.Location // not nil: values are moments as [At] gives them, and the axis shows dates
	Names []string       // not nil: the y axis shows names, the first at 0 and on top, the next at -1, ...
	Holds []float64      // values that the axis shows whatever the layers need
}

// At is a moment as a place on an axis of dates: seconds since 1970.
func At(t time.Time) float64 { return float64(t.Unix()) + float64(t.Nanosecond())/1e9 }

// title is what stands at the axis, in ASCII but for names.
func (a Axis) title(f frame, most int) string {
	name := a.Name
	if name == "" && a.Zone != nil {
		name = timeName(a.moment(f.left), a.moment(f.right), most)
	}
	if name != "" && a.Unit != "" {
		name += ", "
	}
	return name + a.Unit
}

func (a Axis) scale() float64 {
	if a.Scale == 0 {
		return 1
	}
	return a.Scale
}

// least is half the span of an axis on which all lies in one place.
func (a Axis) least() float64 {
	if a.Zone != nil {
		return 12 * 60 * 60
	}
	return 1 / a.scale()
}

func (a Axis) moment(x float64) time.Time { return time.Unix(int64(math.Floor(x)), 0).In(a.Zone) }
