package reports

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
)

// DemoStory is what the commands of the demonstration found, from which its page
// is made: every figure on the page is one of theirs.
type DemoStory struct {
	Demo          *Demo
	Recipe        *Recipe
	Bottles       []*RecipeMade    // as they were made
	Weighed       []*BottleWeighed // the same, weighed again
	Shows         []*BottleShown   // what a pen, and the probe, should show in one of them
	First         []*Calibrate     // the first check of all meters
	Mended        []*Calibrate     // those that were mended
	Compare       *Compare
	CompareAgain  *Compare // after the reading that was advised
	Probe         []*Calibrate
	Drift         *Drift
	All           *DriftAll
	Log           *Correction
	LogTable      DemoTable // the events that were found
	Near          DemoNearness
	Constants     *Constants
	ConstantsFile string
	Pictures      []DemoPicture
}

// DemoTable is a small table that a command wrote, as text.
type DemoTable struct {
	File string
	Rows [][]string // the first is the header
}

// DemoNearness is how near the log came to the truth, which only an invented tub
// has: root mean squares of relative errors over the rows that are believed.
type DemoNearness struct {
	Raw       float64 // read, and brought to 25 C
	Corrected float64
	Covered   float64 // share of rows with the truth within two standard uncertainties
}

// DemoPicture is a picture that a command drew.
type DemoPicture struct {
	Of    string // the step that drew it
	File  string
	SVG   string // as it stands in a page, to be read on a phone
	About string
}

// pictureOf is the picture that a step drew, and nothing where it drew none.
func (s *DemoStory) pictureOf(step string) []page.Block {
	for _, p := range s.Pictures {
		if p.Of == step {
			about := begunLarge(strings.TrimSuffix(p.About, ", as a picture"))
			return []page.Block{page.Picture{SVG: []byte(p.SVG), Caption: about, About: about, Themed: true}}
		}
	}
	return nil
}

// Page tells the story.
func (s *DemoStory) Page() (*page.Page, error) {
	steps, err := s.steps()
	if err != nil {
		return nil, err
	}
	p := &page.Page{
		Title: "An invented winter with Brinemark",
		Lead:  "A shelf of lettuce over a washing machine, a jar of table salt, a pocket scale and four meters: which of them can be believed?",
		Style: demoStyle + chartStyle(),
		Foot: []string{
			"Made by brinemark demo. It is an aid for growers and makers: no certified laboratory, no drinking-water, food-safety or medical instrument.",
			"Reference and stock solutions are not for drinking, dosing or feeding, and stay out of the tub.",
		},
	}
	p.Blocks = append(p.Blocks, page.Notice{Mark: page.Open, Text: "Everything on this page is invented: the bottles, the meters, their faults and the tub. No real meter and no real person is behind it. What Brinemark says of it is computed, by the same commands as for you; they were told the weighings and the readings, and nothing of the faults."})
	for _, part := range [][]page.Block{s.short(), s.made(), s.shouldShow(), s.calibrated(), s.compared(), s.drifted(), s.corrected(), s.next(), s.pages(), steps, s.files()} {
		p.Blocks = append(p.Blocks, part...)
	}
	return p, nil
}

func section(text string) page.Block    { return page.Heading{Level: 2, Text: text} }
func subsection(text string) page.Block { return page.Heading{Level: 3, Text: text} }

// short is the whole story in a few sentences.
func (s *DemoStory) short() []page.Block {
	list := page.List{Items: []string{
		fmt.Sprintf("%d bottles from table salt and a pocket scale, each known to %s (k = 1).", len(s.Bottles), Percent(s.worstBottle(), 2)),
	}}
	for _, c := range s.First {
		list.Items = append(list.Items, fmt.Sprintf("%s: %s, its worst error is %s.", page.Name(wordOrEmpty(c.Meter)), verdictWord(c), c.worst()))
	}
	if first, ok := firstCause(s.CompareAgain); ok {
		list.Items = append(list.Items, fmt.Sprintf("Why the pens disagree: %s (%s, probability %s).", strings.TrimSuffix(first.Text, "."), first.Cause, probability(Known(first.Probability))))
	}
	list.Items = append(list.Items,
		fmt.Sprintf("%s drifts by %s in 30 days; it is to be checked again by %s.", page.Name(s.Drift.name()), s.Drift.amount(s.Drift.Rate, s.Drift.URate), s.Drift.NextCheck),
		fmt.Sprintf("%d rows of its log are put right. They were off by %s, and are off by %s now.", s.rows(), Percent(s.Near.Raw, 2), Percent(s.Near.Corrected, 2)),
	)
	return []page.Block{section("In short"), list}
}

func (s *DemoStory) worstBottle() float64 {
	worst := 0.0
	for _, b := range s.Bottles {
		worst = max(worst, b.URel)
	}
	return worst
}

func (s *DemoStory) rows() int64 {
	var rows int64
	for _, c := range s.Log.Columns {
		rows += c.Corrected
	}
	return rows
}

// worst is the largest error, in percent where the tolerance is.
func (r *Calibrate) worst() string {
	worst, known := r.WorstError.Get()
	if !known {
		return unknown
	}
	if r.ToleranceRelative {
		return plus(worst, Percent(worst, 2))
	}
	return plus(worst, Significant(worst, 2)) + " " + r.unit()
}

func verdictWord(r *Calibrate) string {
	if word := r.VerdictWord(); word != "" {
		return word
	}
	return "no verdict"
}

func firstCause(r *Compare) (CompareCause, bool) {
	if len(r.Causes) == 0 {
		return CompareCause{}, false
	}
	return r.Causes[0], true
}

// made is what was weighed.
func (s *DemoStory) made() []page.Block {
	t := page.Table{Caption: "The bottles", Columns: []page.Column{
		{Name: "bottle"}, {Name: "good until"}, {Name: "salt", Unit: "mg/L", Number: true}, {Name: "at 25 °C", Unit: "uS/cm, ± u", Number: true},
		{Name: "lost since", Unit: "% of its content", Number: true}, {Name: "now", Unit: "uS/cm, ± u", Number: true},
	}}
	for i, b := range s.Bottles {
		lost, now := "", ""
		if i < len(s.Weighed) {
			w := s.Weighed[i]
			now = PlusMinus(numberOrZero(w.EC25), w.UEC25, "")
			if w.Evaporation != nil {
				lost = PlusMinus(100*w.Evaporation.LostRel, Known(100*w.Evaporation.ULostRel), "")
			}
		}
		mgL, _ := Round(b.MgL, Known(b.UMgL))
		t.Row(page.Name(wordOrEmpty(b.ID)), wordOrEmpty(b.BestBefore), mgL, PlusMinus(b.EC25, Known(b.UEC25), ""), lost, now)
	}
	why := fmt.Sprintf("Asked for were bottles known to %s. The plan: %d weighings, and at worst %s. Nobody hits a target mass; what counts is what the scale showed, and from that each bottle's own value follows.",
		Percent(s.Recipe.MaxURel, 2), s.Recipe.Weighings, Percent(s.Recipe.WorstURel, 2))
	return []page.Block{section("What was made"), page.Text{Text: why}, t,
		page.Text{Text: "u is one standard uncertainty (k = 1); double it for a 95 % interval. What a closed bottle loses is water: weighed again weeks later, it tells how much stronger it has become."},
		s.filesOf("recipe", "bottle-A", "bottle-B", "bottle-C", "labels", "weigh-A", "weigh-B", "weigh-C")}
}

// shouldShow is what faultless meters show: a row a bottle, a column a meter.
func (s *DemoStory) shouldShow() []page.Block {
	t := page.Table{Caption: "What a faultless meter shows in each bottle", Columns: []page.Column{{Name: "bottle"}, {Name: "°C", Number: true}}}
	place := map[string]int{}
	for column, c := range s.First {
		t.Columns = append(t.Columns, page.Column{Name: wordOrEmpty(c.Meter), Unit: c.unit() + ", ± u", Number: true})
		for _, p := range c.Points {
			bottle := wordOrEmpty(p.Bottle)
			if _, known := place[bottle]; !known {
				place[bottle] = len(t.Rows)
				t.Rows = append(t.Rows, page.Cells(append([]string{page.Name(bottle), asTyped(numberOrZero(p.TempC))}, make([]string, len(s.First))...)...))
			}
			t.Rows[place[bottle]][2+column].Text = shownIn(p.Ref, p.URef, p.URefShared)
		}
	}
	blocks := []page.Block{section("What the meters should show"),
		page.Text{Text: "A reading depends on the liquid, its temperature, how the meter corrects for that, and its scale. So a meter is held against what a faultless one with the same display shows in the bottle, now."}, t}
	var files, told []string
	for i, b := range s.Shows {
		if display, known := b.Display.Get(); known && b.Meter != nil {
			shown := fmt.Sprintf("A faultless %s shows %s there.", page.Name(*b.Meter), PlusMinus(display, b.UDisplay, wordOrEmpty(b.DispUnit)))
			if i == 0 {
				shown = fmt.Sprintf("Bottle %s at %s °C truly has %s. %s", page.Name(b.Bottle), asTyped(b.TempC), PlusMinus(b.Value, b.UValue, b.Unit), shown)
			}
			told = append(told, shown)
			files = append(files, "should-show-"+*b.Meter)
		}
	}
	blocks = append(blocks, page.Text{Text: strings.Join(told, " ")})
	return append(blocks, s.filesOf(append(files, "sheet")...))
}

// calibrated is the first check, and that of what was mended.
func (s *DemoStory) calibrated() []page.Block {
	t := page.Table{Caption: "Checks of the meters", Columns: []page.Column{
		{Name: "meter"}, {Name: "day"}, {Name: "state"}, {Name: "verdict"}, {Name: "worst error", Number: true}, {Name: "put right by", Number: true},
	}}
	for _, list := range [][]*Calibrate{s.First, s.Mended} {
		for _, c := range list {
			t.Rows = append(t.Rows, c.checkRow())
		}
	}
	blocks := []page.Block{section("Calibration"), page.Text{Text: "Each meter was read in the bottles. Its verdict is about the meter as it was then: pass or fail where the readings say so with 95 %, undecided between. What failed was mended and read again."}, t}
	blocks = append(blocks, s.pictureOf("calibrate-old-pen")...)
	for _, c := range s.First {
		if c.VerdictWord() == "fail" && len(c.Advice) > 0 {
			blocks = append(blocks, folded("What to do with "+wordOrEmpty(c.Meter), c.Advice))
		}
	}
	return append(blocks, s.filesOf("calibrate-old-pen", "calibrate-new-pen", "calibrate-ph-pen", "calibrate-old-pen-cleaned", "calibrate-ph-pen-new"))
}

func (r *Calibrate) checkRow() []page.Cell {
	row := page.Cells(page.Name(wordOrEmpty(r.Meter)), day(wordOrEmpty(r.Time)), strings.ReplaceAll(r.State, "-", " "), "", r.worst(), r.line())
	row[3] = page.Cell{Text: verdictWord(r), Mark: page.Verdict(r.VerdictWord())}
	return row
}

// line is the line in words.
func (r *Calibrate) line() string {
	slope, _ := Round(r.Fit.Slope, r.Fit.USlope)
	intercept, _ := Round(r.Fit.Intercept, r.Fit.UIntercept)
	sign := "+"
	if rest, negative := strings.CutPrefix(intercept, "-"); negative {
		intercept, sign = rest, "−"
	}
	return fmt.Sprintf("%s × reading %s %s", slope, sign, intercept)
}

// shownIn is a reference with all of its uncertainty.
func shownIn(ref float64, own, shared Number) string {
	a, knownA := own.Get()
	b, knownB := shared.Get()
	return PlusMinus(ref, Maybe(inQuadrature(a, b), knownA || knownB), "")
}
