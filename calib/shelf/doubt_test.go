package shelf

import (
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPastDate(t *testing.T) {
	b := logbook.Bottle{Name: "A", BestBefore: "2026-03-01"}
	assert.Empty(t, PastDate(b, noon), "the last good day")
	assert.Equal(t, "bottle A was good until 2026-03-01: make a fresh one, or hold it against one", PastDate(b, noon.AddDate(0, 0, 1)))
	assert.Empty(t, PastDate(logbook.Bottle{Name: "A"}, noon))
}

// see is one meter's errors in bottles A, B, C, …; NaN is not needed: a meter
// that did not read a bottle has a shorter list.
func see(meter string, errors ...float64) []Sighting {
	var out []Sighting
	for i, e := range errors {
		out = append(out, Sighting{Bottle: string(rune('A' + i)), Meter: meter, Session: "1", Error: e, U: 0.004, Tolerance: 0.02})
	}
	return out
}

func TestTwoMetersFindABottleOff(t *testing.T) {
	for _, c := range []struct {
		name string
		list [][]Sighting
		want []string // bottles
	}{
		{"both off in B, fine elsewhere", [][]Sighting{see("P1", 0.001, 0.05, -0.002), see("P2", 0, 0.06, 0.001)}, []string{"B"}},
		{"one other bottle is enough", [][]Sighting{see("P1", 0.001, 0.05), see("P2", 0, 0.06)}, []string{"B"}},
		{"the bottle alone", [][]Sighting{see("P1", 0.05), see("P2", 0.06)}, []string{"A"}},
		{"a meter that is off everywhere is off itself", [][]Sighting{see("P1", 0.05, 0.05, 0.05), see("P2", 0.05, 0.05, 0.05)}, nil},
		{"off everywhere, with one other bottle", [][]Sighting{see("P1", 0.05, 0.05), see("P2", 0.05, 0.05)}, nil},
		{"off everywhere, more so in B", [][]Sighting{see("P1", 0.05, 0.10, 0.05), see("P2", 0, 0.05, 0)}, []string{"B"}},
		{"opposite directions", [][]Sighting{see("P1", 0, 0.05, 0), see("P2", 0, -0.05, 0)}, nil},
		{"one meter only", [][]Sighting{see("P1", 0, 0.05, 0), see("P2", 0, 0.01, 0)}, nil},
		{"within tolerance", [][]Sighting{see("P1", 0, 0.015, 0), see("P2", 0, 0.015, 0)}, nil},
		{"the later session of a meter counts", [][]Sighting{see("P1", 0, 0.05, 0), see("P2", 0, 0.05, 0), later(see("P2", 0, 0, 0))}, nil},
		{"a weak bottle", [][]Sighting{see("P1", 0, -0.05, 0), see("P2", 0, -0.05, 0), see("P3", 0, -0.04, 0)}, []string{"B"}},
	} {
		var all []Sighting
		for _, l := range c.list {
			all = append(all, l...)
		}
		got := LookOff("ec", all)
		require.Len(t, got, len(c.want), c.name)
		for i, bottle := range c.want {
			assert.Contains(t, got[i], "bottle "+bottle+": ", c.name)
		}
	}
	got := LookOff("ec", append(see("P1", 0, 0.05, 0), see("P2", 0, 0.062, 0)...))
	assert.Equal(t, []string{"bottle B: 2 meters find it off in the same direction (P1 by +5.0 %, P2 by +6.2 %) and have no quarrel with their other bottles: doubt the bottle first; weigh it, or make a fresh one"}, got)
	ph := LookOff("ph", []Sighting{{Bottle: "7", Meter: "a", Error: -0.12}, {Bottle: "7", Meter: "b", Error: -0.2}})
	assert.Contains(t, ph[0], "(a by -0.12, b by -0.20)")
}

func later(list []Sighting) []Sighting {
	for i := range list {
		list[i].Session = "2"
	}
	return list
}

func TestGoodUntil(t *testing.T) {
	assert.Equal(t, "2026-05-30", GoodUntil(logbook.Bottle{Salt: "NaCl", MadeOn: "2026-03-01"}), "90 days")
	assert.Equal(t, "2026-03-31", GoodUntil(logbook.Bottle{Buffer: "7.00", MadeOn: "2026-03-01"}), "30 days")
	assert.Empty(t, GoodUntil(logbook.Bottle{Salt: "NaCl"}))
}
