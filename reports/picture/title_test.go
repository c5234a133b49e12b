package picture

import (
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/stretchr/testify/assert"
)

// Whatever room there is, the unit of an axis stands in it whole: of every
// quantity, and of shares.
func TestAnAxisKeepsItsUnit(t *testing.T) {
	units := []string{"uS/cm", "mS/cm", "ppm (x 0.5)", "% of the reference", "% of mean", "%"}
	for _, k := range check.Kinds() {
		if k.Unit() != "" {
			units = append(units, k.Unit())
		}
	}
	names := []string{"error, reading minus reference", "reading", strings.Repeat("long ", 40), typeset.Name(strings.Repeat("a pen, ", 20)) + " minus " + typeset.Name("P2")}
	for _, unit := range units {
		for _, name := range names {
			a := Axis{Name: name, Unit: unit}
			for columns := len(", ...") + len(unit); columns < 120; columns += 3 {
				got := a.onScreen(frame{}, 0, columns)
				assert.True(t, strings.HasSuffix(got, unit), "%q in %d columns", got, columns)
				assert.LessOrEqual(t, typeset.Columns(got), columns, got)
			}
			for _, f := range []format{fileFormat, pageFormat, lowFormat} {
				got := a.onPaper(frame{}, 0, 0.5*f.height)
				assert.True(t, strings.HasSuffix(got, typeset.Unit(unit)), "%q", got)
				assert.LessOrEqual(t, wideness(got, textFont), 0.5*f.height, got)
			}
		}
	}
	short := Axis{Name: names[0], Unit: "%RH"}
	assert.Equal(t, "error, reading minus reference, %RH", short.onScreen(frame{}, 0, 40))
	assert.Equal(t, "error, %RH", short.onScreen(frame{}, 0, 30), "what stands behind a comma goes first")
	assert.Equal(t, "e..., %RH", short.onScreen(frame{}, 0, 9))
	assert.Equal(t, "...", Axis{Name: "x", Unit: strings.Repeat("u", 50)}.onScreen(frame{}, 0, 5)[2:], "a unit with no room at all is cut")
	for room := range 60 { // nor is there more than the room where the unit alone would have it
		got := Axis{Name: "reading", Unit: strings.Repeat("u", 50)}.onScreen(frame{}, 0, max(room, 3))
		assert.LessOrEqual(t, typeset.Columns(got), max(room, 3), got)
	}
}
