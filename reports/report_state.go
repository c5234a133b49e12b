package reports

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/reports/page"
)

// todayWords are the states as people read them.
var todayWords = map[string]string{
	stateNoTolerance: "no tolerance", stateNotChecked: "not checked", stateOutOfUse: "out of use",
}

func stateWord(state string) string {
	if text, ok := todayWords[state]; ok {
		return text
	}
	return state
}

// lastVerdict is the verdict of the latest calibration.
func (r *Report) lastVerdict() string {
	if len(r.Calibrations) == 0 {
		return ""
	}
	return wordOrEmpty(r.Calibrations[len(r.Calibrations)-1].Verdict)
}

// The states of a meter beside its verdicts.
const (
	stateNoTolerance = "no-tolerance"
	stateNotChecked  = "not-checked"
	stateOutOfUse    = "out-of-use"
)

// checkNow is the advice on a meter that has read no reference yet.
const checkNow = "Check it now."

// state says in a word and in a sentence how the meter is today.
func (r *Report) state(now time.Time) (word, text string) {
	d := r.Drift
	switch {
	case r.Description.RetiredAt != nil:
		return stateOutOfUse, "Out of use since " + dayInWords(day(*r.Description.RetiredAt)) + "."
	case len(r.Calibrations) == 0:
		if text := r.comparedText(); text != "" {
			return stateNotChecked, text + " " + checkNow
		}
		return stateNotChecked, "Not checked: there is no reading of a reference on record, so nobody knows how far to trust it. " + checkNow
	case d == nil && r.lastVerdict() != "":
		last := r.Calibrations[len(r.Calibrations)-1]
		return r.lastVerdict(), fmt.Sprintf("Its last check, on %s, said %s; how it has drifted since cannot be told.", dayInWords(day(last.Time)), r.lastVerdict())
	case d == nil:
		return stateNoTolerance, "It was checked, but how far off it is today cannot be told."
	}
	return r.stateByDrift(now.Format(dayFormat))
}

// stateByDrift says first what was seen, when that was not today, and then what is
// foretold.
func (r *Report) stateByDrift(today string) (word, text string) {
	d := r.Drift
	bounds := "its tolerance of " + d.toleranceText()
	foretold := d.amount(d.ErrorNow, d.UError) + d.referenceText(d.Ref, d.ErrorNow)
	seen, now := "", "its error is "+foretold
	if s := r.LastSeen; s != nil && s.Day < today {
		seen, now = "last seen at "+r.seenOn(), "foretold today: "+foretold
		if s.verdict() == "pass" && d.VerdictWord() == "undecided" {
			seen, bounds = "last seen within "+bounds+", at "+r.seenOn(), "it"
		}
	}
	p, _ := d.PWithin.Get()
	chance, until := "probability of being within "+probability(d.PWithin), d.dueShort(today)
	late := ""
	if d.OverdueSince != nil {
		late = "; " + until
	}
	outside := r.foundOutside()
	switch word = d.VerdictWord(); {
	case word == "":
		return stateNoTolerance, "No verdict, since no tolerance is on record: " + phrases(seen, now, until) + "."
	case word == "pass":
		return word, fmt.Sprintf("Within %s: %s (%s); %s.", bounds, phrases(seen, now), chance, until)
	case word == "fail":
		what := "Outside"
		if r.LastSeen != nil && r.LastSeen.verdict() == "pass" {
			what = "Foretold to be outside" // a check that passed is no failure seen
		}
		return word, fmt.Sprintf("%s %s: %s (%s); adjust it, or correct what it shows%s.", what, bounds, phrases(seen, now), chance, late)
	case outside != "" && d.bottleText() != "":
		return word, fmt.Sprintf("%s %s; %s; undecided only since %s: check it with a fresh one%s.", outside, bounds, now, d.bottlesChanged(), late)
	case d.Unsettled && outside != "":
		return word, fmt.Sprintf("%s %s, which does not fit the checks before: either the meter or that check is wrong; repeat it with another bottle.", outside, bounds)
	case outside != "":
		return word, fmt.Sprintf("%s %s; %s (%s), so that it is undecided; %s.", outside, bounds, now, chance, until)
	case d.bottleText() != "":
		return word, fmt.Sprintf("Undecided: %s, outside %s; but %s: check it with a fresh one%s.", phrases(seen, now), bounds, d.bottlesChanged(), late)
	}
	which := "more likely within than outside"
	if p < 0.5 {
		which = "more likely outside than within"
	}
	return word, fmt.Sprintf("Undecided: %s, %s %s (%s); %s.", phrases(seen, now), which, bounds, chance, until)
}

// foundOutside says that the last check found the meter outside its tolerance; ""
// where it did not.
func (r *Report) foundOutside() string {
	s := r.LastSeen
	if s == nil || s.verdict() != "fail" {
		return ""
	}
	return "Found at " + r.seenOn() + ", outside"
}

// seenOn is what the last check saw, with its day, and what was done since.
func (r *Report) seenOn() string {
	text := r.LastSeen.text + " on " + dayInWords(r.LastSeen.Day)
	last := r.Calibrations[len(r.Calibrations)-1].Time
	for _, e := range slices.Backward(r.Events) {
		if event := drift.Event(e.Event); slices.Contains(drift.Events(), event) && e.Time > last {
			text += ", before it was " + e.Event
			break
		}
	}
	if r.LastSeen.Verdict == nil && r.LastSeen.beyond {
		text += ", more than is allowed"
	}
	return text
}

// bottlesChanged says whose ageing a drift may be.
func (d *Drift) bottlesChanged() string {
	if strings.Contains(*d.Bottle, ", ") {
		return "its bottles (" + *d.Bottle + ") may have changed, and not the meter"
	}
	return "its bottle (" + *d.Bottle + ") may have changed, and not the meter"
}

// phrases are the parts that there are.
func phrases(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), "; ")
}

// comparedText is what is known of a meter that took part in comparisons only.
func (r *Report) comparedText() string {
	if len(r.Comparisons) == 0 {
		return ""
	}
	last := r.Comparisons[len(r.Comparisons)-1]
	text := "Not calibrated: what is known of it comes from comparisons; the latest, on " + dayInWords(day(last.Time)) + ", "
	if last.Verdict == nil {
		return text + "gave no verdict on it."
	}
	return text + "said " + *last.Verdict + "."
}

// dueShort says in few words when the meter is to be checked again.
func (d *Drift) dueShort(today string) string {
	switch {
	case d.OverdueSince != nil:
		return "a check has been overdue since " + dayInWords(*d.OverdueSince)
	case d.Due != nil && *d.Due <= today:
		return "a check is due now"
	case d.NextCheck <= today:
		return "check it now"
	}
	return "check it again by " + dayInWords(d.NextCheck)
}

// dayInWords writes a day as people do in a sentence: 3 March 2026.
func dayInWords(text string) string {
	t, err := time.Parse(dayFormat, text)
	if err != nil {
		return text
	}
	return t.Format("2 January 2006")
}

// stateCell is the state as a word with its mark.
func (r *Report) stateCell() page.Cell { return stateCell(r.State, r.LastSeen) }

func stateCell(state string, seen *ReportSight) page.Cell {
	text := stateWord(state)
	if state == "undecided" && seen != nil && seen.verdict() == "fail" {
		text += ", found outside"
	}
	return page.Cell{Text: text, Mark: page.Verdict(state)}
}
