package label

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Paper is a sheet to print on.
type Paper struct {
	Name              string
	WidthMM, HeightMM float64
}

// Papers are the sheets there are: A4 (ISO 216) and Letter (8.5 by 11 inches,
// ANSI/ASME Y14.1).
func Papers() []Paper { return []Paper{{"A4", 210, 297}, {"Letter", 215.9, 279.4}} }

// PaperByName finds a paper, in upper or lower case.
func PaperByName(name string) (Paper, bool) {
	for _, p := range Papers() {
		if strings.EqualFold(p.Name, name) {
			return p, true
		}
	}
	return Paper{}, false
}

// Layout is how labels are laid on paper.
type Layout struct {
	Paper             Paper
	WidthMM, HeightMM float64 // of one label
	// Skip is how many places of the first sheet are used up already, from the
	// top left on, line by line.
	Skip int
	// Bare leaves the outlines out, for sheets that are cut already.
	Bare bool
}

// The usual size of a label: three across on A4, and no code too small.
const (
	UsualWidthMM  = 70
	UsualHeightMM = 37
)

// ErrLayout is wrapped by the errors about a size or a place that cannot be.
var ErrLayout = errors.New("labels cannot be laid out so")

// slackMM forgives the last bits of a size in inches.
const slackMM = 1e-6

// grid is how many labels stand across and down, and where the first one begins:
// edge to edge, in the middle of the sheet.
func (l Layout) grid() (across, down int, leftMM, topMM float64, err error) {
	if !(l.WidthMM >= 1 && l.HeightMM >= 1) || math.IsInf(l.WidthMM, 0) || math.IsInf(l.HeightMM, 0) {
		return 0, 0, 0, 0, fmt.Errorf("%w: found a label of %gx%gmm; want a size such as %dx%dmm", ErrLayout, l.WidthMM, l.HeightMM, UsualWidthMM, UsualHeightMM)
	}
	across, down = int((l.Paper.WidthMM+slackMM)/l.WidthMM), int((l.Paper.HeightMM+slackMM)/l.HeightMM)
	if across < 1 || down < 1 {
		return 0, 0, 0, 0, fmt.Errorf("%w: found a label of %gx%gmm, larger than the paper (%s, %gx%gmm); want a size such as %dx%dmm", ErrLayout, l.WidthMM, l.HeightMM, l.Paper.Name, l.Paper.WidthMM, l.Paper.HeightMM, UsualWidthMM, UsualHeightMM)
	}
	if l.Skip < 0 || l.Skip >= across*down {
		return 0, 0, 0, 0, fmt.Errorf("%w: found %d places to leave out; a sheet has %d, want 0 to %d", ErrLayout, l.Skip, across*down, across*down-1)
	}
	return across, down, (l.Paper.WidthMM - float64(across)*l.WidthMM) / 2, (l.Paper.HeightMM - float64(down)*l.HeightMM) / 2, nil
}
