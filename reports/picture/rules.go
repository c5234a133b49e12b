package picture

import (
	"image/color"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// The palette. Its colours differ in lightness as well: ink, blue, brown and
// grey keep their order on a grey printer.
var (
	paperColour = color.RGBA{0xff, 0xff, 0xff, 0xff}
	ink         = color.RGBA{0x1a, 0x1a, 0x1a, 0xff}
	blue        = color.RGBA{0x12, 0x4f, 0x8c, 0xff}
	brown       = color.RGBA{0xa2, 0x4a, 0x12, 0xff}
	grey        = color.RGBA{0x70, 0x70, 0x70, 0xff}
	mist        = color.RGBA{0xd3, 0xde, 0xe9, 0xff}
	sand        = color.RGBA{0xf4, 0xee, 0xe2, 0xff}
)

// palette names the colours for pages of HTML, with those that take their
// places on dark ground.
var palette = []struct {
	name        string
	light, dark color.RGBA
}{
	{"paper", paperColour, color.RGBA{0x17, 0x1a, 0x1d, 0xff}},
	{"ink", ink, color.RGBA{0xe8, 0xe8, 0xe8, 0xff}},
	{"blue", blue, color.RGBA{0x7d, 0xb8, 0xf2, 0xff}},
	{"brown", brown, color.RGBA{0xf0, 0x9a, 0x5c, 0xff}},
	{"grey", grey, color.RGBA{0x9d, 0x9d, 0x9d, 0xff}},
	{"mist", mist, color.RGBA{0x2d, 0x3e, 0x50, 0xff}},
	{"sand", sand, color.RGBA{0x2b, 0x28, 0x20, 0xff}},
}

// format is the size of a chart of one panel, in points.
type format struct{ width, height vg.Length }

// The formats: of a file, and of a chart in a page, whose texts must be read on
// a phone of 360 px.
var (
	fileFormat = format{480, 288}
	pageFormat = format{420, 300}
	lowFormat  = format{420, 255}
)

// pngDPI are the pixels for each inch of a PNG, and mostPixels the width of a
// chart in a page.
const pngDPI, mostPixels = 192, 640

// Distances on paper, in points.
const (
	margin      = 10
	gap         = 4 // between a text and what it belongs to
	rowHeight   = 14
	hatchGap    = 7
	laneHeight  = 16           // of a row with a name on the y axis
	barPart     = 0.6          // of it that a bar takes
	leastLane   = 0.8          // the shortest stretch that shows
	namesPart   = 0.3          // of the width, that names on the y axis take at most
	tickWide    = 64           // labels of the x axis are as far apart
	symbolWide  = 22           // a symbol of the legend
	betweenKeys = 1.5 * margin // of the legend
	glyphSize   = 3
	dotSize     = 1.5           // a mark in a crowd
	leastBar    = 2 * glyphSize // a shorter bar lies within its mark
	capSize     = 3             // half the width of the end of a bar
	edgeSize    = 3.5           // half the width of a mark at the edge
	endStep     = 10            // from bar to bar behind the end of a line
	fewTicks    = 10
)

// slack is how much wider than in our font a text may turn out where another
// takes its place.
const slack = 1.14

// Fonts.
var (
	titleFont = font.Font{Typeface: "Liberation", Variant: "Sans", Size: 14}
	textFont  = font.Font{Typeface: "Liberation", Variant: "Sans", Size: 10.5}
)

// Role is what a line stands for; it decides how the line looks everywhere.
type Role int

// The roles.
const (
	Fitted   Role = iota // what was fitted: full
	Forecast             // the same, where nothing was measured yet: broken
	Limit                // what must not be exceeded: long dashes
	Moment               // when something happened: dots
	Deadline             // until when something is to be done: dash and dot
	Shown                // what a meter showed, before anything was put right: short dashes
	Spread               // where single values lie: dash and two dots
	Right                // what a meter without an error would do: wide dots
	bar                  // of an uncertainty
	axis
	zero
	hatch // of what is shaded
)

// form is how a line looks on paper and on a terminal.
type form struct {
	draw.LineStyle
	sign rune
}

var forms = map[Role]form{
	Fitted:   {draw.LineStyle{Color: blue, Width: 1.8}, '*'},
	Forecast: {draw.LineStyle{Color: blue, Width: 1.5, Dashes: []vg.Length{5, 3.5}}, '~'},
	Limit:    {draw.LineStyle{Color: brown, Width: 1.4, Dashes: []vg.Length{11, 4}}, '-'},
	Moment:   {draw.LineStyle{Color: grey, Width: 1, Dashes: []vg.Length{1.5, 2.5}}, ':'},
	Deadline: {draw.LineStyle{Color: ink, Width: 1.5, Dashes: []vg.Length{9, 3, 1.5, 3}}, '!'},
	Shown:    {draw.LineStyle{Color: grey, Width: 1, Dashes: []vg.Length{3, 1.5}}, '+'},
	Spread:   {draw.LineStyle{Color: blue, Width: 1.2, Dashes: []vg.Length{8, 3, 1.5, 3, 1.5, 3}}, '_'},
	Right:    {draw.LineStyle{Color: grey, Width: 1, Dashes: []vg.Length{1, 5}}, '/'},
	bar:      {draw.LineStyle{Color: ink, Width: 0.8}, '|'},
	axis:     {draw.LineStyle{Color: ink, Width: 0.8}, ' '},
	zero:     {draw.LineStyle{Color: grey, Width: 0.5}, ' '},
	hatch:    {draw.LineStyle{Color: grey, Width: 0.35}, ' '},
}

// The characters of a band, of what is shaded, of a filled bar, and of what goes
// on beyond the edge.
const (
	signBand   = '.'
	signShade  = ','
	signFilled = '='
	signAbove  = '^'
	signBelow  = 'v'
)

// Shape is the mark of a measured point. A hollow one does not count.
type Shape int

// The shapes, in the order in which several series take them.
const (
	Disc Shape = iota
	Ring       // the hollow disc
	Square
	Triangle
)

// mark is how a point looks.
type mark struct {
	glyph  draw.GlyphDrawer
	colour color.Color
	hollow bool
	sign   rune
}

var marks = map[Shape]mark{
	Disc:     {draw.CircleGlyph{}, ink, false, 'o'},
	Ring:     {draw.RingGlyph{}, ink, true, 'x'},
	Square:   {draw.BoxGlyph{}, blue, false, '#'},
	Triangle: {draw.PyramidGlyph{}, brown, false, 'A'},
}
