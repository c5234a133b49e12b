package shelf

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/solutions/plan"
)

// Made is a bottle as it was made, for the record: with all its sources, so
// that what it shares with the other bottles of its stock is kept. The name is
// that of the record; dates are the caller's. masses are those of the bottle
// as a whole, of which the later one is left aside: see [MadeAndWeighed]. nil:
// it was not weighed as a whole.
func Made(m plan.Made, name string, masses *plan.Reweighed) (logbook.Bottle, error) {
	ratio, err := m.Mixed.Impurity.Div(m.Mixed.Pure)
	if err != nil {
		return logbook.Bottle{}, err
	}
	content := m.Mixed.MassG.Nominal()
	b := logbook.Bottle{
		Name: name, Salt: m.Bench.Jar.Salt.Formula,
		StrengthUnit: "mol/kg", Strength: logbook.Keep(m.Fresh.Molality),
		WaterEC25: logbook.Keep(m.Fresh.WaterEC25),
		Deviation: logbook.Keep(m.Bench.Jar.Conducts.Mul(ratio)),
		ContentG:  &content,
	}
	if masses != nil {
		b.FullG, b.EmptyG, b.UWeighingG = &masses.MadeG, masses.EmptyG, masses.UG
		b.Weighing = m.WeighingID(plan.FullWhenMade)
	}
	return b, nil
}

// MadeAndWeighed is the second version of a bottle that was weighed again
// before it was put on record: b is the first, from [Made], with its identity,
// and at the time of the second weighing.
func MadeAndWeighed(m plan.Made, b logbook.Bottle, masses plan.Reweighed, at time.Time) logbook.Bottle {
	next := b
	next.Head = logbook.Head{Supersedes: b.ID}
	next.Since = at
	next.Strength, next.WaterEC25 = logbook.Keep(m.Now.Molality), logbook.Keep(m.Now.WaterEC25)
	content := *b.ContentG - m.Loss.MassG.Nominal()
	next.ContentG = &content
	next.FullG, next.Weighing = &masses.NowG, m.WeighingID(plan.FullNow)
	return next
}

// Follow makes a bottle the next version of the one on record. One that was
// made on a later day holds from that day on, which begins in the zone; another
// one corrects the old version, and holds since when that did.
func Follow(b *logbook.Bottle, old logbook.Bottle, zone *time.Location) {
	b.Name, b.Supersedes, b.Since = old.Name, old.ID, old.Since
	if old.MadeOn == "" || b.MadeOn <= old.MadeOn {
		return
	}
	if day, err := time.ParseInLocation(time.DateOnly, b.MadeOn, zone); err == nil {
		b.Since = day
	}
}

// madeStock is a stock in what the command printed when a bottle was made.
type madeStock struct {
	ID    string  `json:"id"`
	MassG float64 `json:"mass_g"`
	MgG   float64 `json:"salt_mg_g"`
	UMgG  float64 `json:"u_salt_mg_g"`
}

func stocksOf(b logbook.Bottle) []madeStock {
	var made struct {
		Stocks []madeStock `json:"stocks"`
	}
	if len(b.Made) == 0 || json.Unmarshal(b.Made, &made) != nil {
		return nil
	}
	return made.Stocks
}

// alike is how far two figures of one stock may be apart: by rounding.
const alike = 1e-9

func near(x, y float64) bool { return math.Abs(x-y) <= alike*math.Max(math.Abs(x), math.Abs(y)) }

// Stocks looks for the stocks of a bottle among those of the bottles on record.
// other is about a stock that has the same name there and is another; twin
// about one that has the same masses and another name, and is likely the same
// stock. Both are empty where all is well. A bottle of the same name is left
// aside.
func Stocks(b logbook.Bottle, record []logbook.Bottle) (other, twin string) {
	for _, s := range stocksOf(b) {
		for _, r := range record {
			if r.Name == b.Name {
				continue
			}
			for _, t := range stocksOf(r) {
				same := near(s.MassG, t.MassG) && near(s.MgG, t.MgG) && near(s.UMgG, t.UMgG)
				switch {
				case s.ID == t.ID && !same && other == "":
					other = fmt.Sprintf("stock %q is on record, in bottle %s, as %.5g g with %.4g mg/g (u %.2g); found %.5g g with %.4g mg/g (u %.2g): a stock keeps its masses and its salt, and another one has another name",
						s.ID, r.Name, t.MassG, t.MgG, t.UMgG, s.MassG, s.MgG, s.UMgG)
				case s.ID != t.ID && same && twin == "":
					flag, name := "--stock", t.ID
					if rest, second := strings.CutPrefix(t.ID, secondStock); second {
						flag, name = "--second-stock", rest
					}
					twin = fmt.Sprintf("bottle %s was made from a stock of the same masses, %q; where that is this stock, save this bottle again with --correct %s %q, so that the two share its error", r.Name, name, flag, name)
				}
			}
		}
	}
	return other, twin
}
