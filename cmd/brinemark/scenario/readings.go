package scenario

import (
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// BenchTempC is what the thermometer shows on the first bench day.
const BenchTempC = 19.5

// Row is one reading of a bottle.
type Row struct {
	Meter, Bottle, State     string
	Time                     time.Time
	Reading, UReading, TempC float64
	MV                       float64 // pH only
}

// bench is a person at the bench, reading meters.
type bench struct {
	hand *rand.Rand
	rows []Row
}

// read puts a meter into a bottle, several times.
func (b *bench) read(m Meter, bottle Bottle, when time.Time, state string, tempC float64, times int) error {
	display, err := m.display()
	if err != nil {
		return err
	}
	perfect, err := bottle.shows(display, when, tempC)
	if err != nil {
		return fmt.Errorf("%s in bottle %s: %w", m.Name, bottle.Name, err)
	}
	gain := m.gain(when)
	for range times {
		b.rows = append(b.rows, Row{
			Meter: m.Name, Bottle: bottle.Name, State: state, Time: when.Add(time.Duration(len(b.rows)) * time.Minute), UReading: m.UStated, TempC: tempC,
			Reading: round(gain*perfect+m.Scatter*b.hand.NormFloat64(), m.Step),
		})
	}
	return nil
}

// FirstDay is what a pen shows in the bottles, twice in each, on [Made].
func FirstDay(m Meter, bottles []Bottle) ([]Row, error) {
	b := bench{hand: rand.New(rand.NewPCG(20, uint64(len(m.Name))))}
	if m.Name == NewPen.Name {
		b.hand = rand.New(rand.NewPCG(21, 26))
	}
	for _, bottle := range bottles {
		if err := b.read(m, bottle, Made, "as-found", BenchTempC, 2); err != nil {
			return nil, err
		}
	}
	return b.rows, nil
}

// ColdAndWarm is what both pens show in a cup of the last bottle out of the
// refrigerator, and in one from the airing cupboard.
func ColdAndWarm(bottles []Bottle) ([]Row, error) {
	b := bench{hand: rand.New(rand.NewPCG(10, 35))}
	for _, tempC := range []float64{10.3, 34.6} {
		for _, m := range []Meter{OldPen, NewPen} {
			if err := b.read(m, bottles[len(bottles)-1], Again, "as-found", tempC, 2); err != nil {
				return nil, err
			}
		}
	}
	return b.rows, nil
}

// AfterCleaning is what the old pen shows once it is cleaned and trimmed.
func AfterCleaning(bottles []Bottle) ([]Row, error) {
	b := bench{hand: rand.New(rand.NewPCG(7, 12))}
	for _, bottle := range bottles {
		if err := b.read(OldPen, bottle, Cleaned, "as-left", 19.8, 2); err != nil {
			return nil, err
		}
	}
	return b.rows, nil
}

// benchTempsC are the temperatures of the bottles on the days of [Checks].
var benchTempsC = []float64{BenchTempC, 19.1, 18.6, 18.9, 19.4, 19.0, 19.7}

// beforeAdjusting is how long before the adjustment the probe is read as found.
const beforeAdjusting = 10 * time.Minute

// CheckOfProbe is what the probe shows in the bottles on a day of [Checks]: as
// found, and on [Adjusted] also as left.
func CheckOfProbe(bottles []Bottle, day int) ([]Row, error) {
	b := bench{hand: rand.New(rand.NewPCG(31, uint64(day)))}
	states := []string{"as-found"}
	if Checks[day].Equal(Adjusted) {
		states = append(states, "as-left")
	}
	for _, state := range states {
		for _, bottle := range bottles {
			when := Checks[day]
			if state == "as-found" && len(states) > 1 {
				when = when.Add(-beforeAdjusting)
			}
			if err := b.read(Probe, bottle, when, state, benchTempsC[day], 1); err != nil {
				return nil, err
			}
		}
	}
	return b.rows, nil
}

// PHPen is the name of the pH pen.
const PHPen = "ph-pen"

// electrodeState is how an electrode is: its slope over the ideal one, the pH at
// which it gives no voltage, and the millivolts for which the display takes
// pH 7 and the ideal slope.
type electrodeState struct {
	slopeFraction, zeroPH float64
	adjusted              bool // the display knows slope and zero
}

// The electrode has aged, and the display was last adjusted when it was new. In
// the end it is replaced, and the display adjusted.
var (
	oldElectrode = electrodeState{slopeFraction: 0.88, zeroPH: 6.80}
	newElectrode = electrodeState{slopeFraction: 0.985, zeroPH: 7.02, adjusted: true}
)

// Buffers are the bottles of the two bought buffers, with their buffers' names.
var Buffers = map[string]string{"buffer-4": "4.00", "buffer-7": "7.00"}

// OldElectrode is what the pH pen shows in the two buffers on [Made].
func OldElectrode() ([]Row, error) { return oldElectrode.read(Made, "as-found", 4) }

// NewElectrode is what it shows with a new electrode, on [Replaced].
func NewElectrode() ([]Row, error) { return newElectrode.read(Replaced, "as-left", 5) }

func (e electrodeState) read(when time.Time, state string, seed uint64) ([]Row, error) {
	var out []Row
	hand := rand.New(rand.NewPCG(7, seed))
	ideal, err := electrode.IdealSlope(BenchTempC)
	if err != nil {
		return nil, err
	}
	for _, bottle := range []string{"buffer-7", "buffer-4"} {
		buffer, err := solutions.BufferByName(Buffers[bottle])
		if err != nil {
			return nil, err
		}
		at, err := buffer.At(uncert.Exact(BenchTempC))
		if err != nil {
			return nil, err
		}
		for range 2 {
			mv := -e.slopeFraction*ideal*(at.Value.Nominal()-e.zeroPH) + 0.4*hand.NormFloat64()
			shown := 7 - mv/ideal
			if e.adjusted {
				shown = e.zeroPH - mv/(e.slopeFraction*ideal)
			}
			out = append(out, Row{
				Meter: PHPen, Bottle: bottle, State: state, Time: when.Add(time.Duration(len(out)) * time.Minute), TempC: BenchTempC,
				MV: round(mv, 0.1), Reading: round(shown, 0.01), UReading: 0.01,
			})
		}
	}
	return out, nil
}
