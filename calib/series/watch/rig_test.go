package watch_test

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
)

// rig invents the log of a tub with several probes, and knows what happened to
// it. All figures are drawn anew for each log.
//
// Population. Rows each 5 s to 1 h (nine intervals, equally often), 20 000 in a log; a
// conductivity probe alone, with a pH probe, with pH and temperature, or two
// conductivity probes with pH and temperature. Strength 500 to 3000 uS/cm with
// noise of 0.05 to 0.5 %, a swing of day and night of 0 to 2 % and a trend of up to
// 3 % a day; pH 5.5 to 6.5 with noise of 0.005 to 0.02, shown in steps of 0.01, and
// a swing of 0 to 0.05; temperature 18 to 24 C, swinging by 0.5 to 2 C. One row in 5000
// is a slip of the conductivity meter, one in 200 is blank.
//
// Events, one in 1 to 4 days (at least 60 rows and 12 hours apart), a fifth of each kind and of refills and top-ups together two:
// refills to 0.3 to 0.55 or 1.6 to 2.5 times the strength, and top-ups to 0.75 to
// 0.92 or 1.1 to 1.25 times, mixing in over 3 to 10 minutes; with them pH moves by 0.15 to 0.5 and
// the temperature by 1 to 3 C, each in two of three cases and at least one where there is any. Dry
// stretches of 30 minutes to a day and at least 4 rows, at 0 to 2 % of the level, with a return at 0.8 to
// 1.25 times the strength. Stuck sensors for 5 hours to 2 days and at least 40
// rows. Jumps: a conductivity probe shows 5 to 25 % more or less, or a pH probe 0.15 to 0.6, from one
// row on.
type rig struct {
	rng     *rand.Rand
	step    float64 // minutes
	columns []watch.Column
	ecs     int
	ph      bool
	temp    bool

	times  []int64
	temps  []float64
	seen   [][]watch.Seen
	truths []truth
}

// truth is an event as it was invented.
type truth struct {
	kind     watch.Kind
	from, to int64
	column   int // -1 for any
	found    bool
}

func inventRig(rng *rand.Rand, rows int) *rig {
	s := &rig{rng: rng, step: pick(rng, 5.0/60, 10.0/60, 0.5, 1, 2, 5, 10, 30, 60)}
	s.ecs = 1
	ec := watch.Column{Conductivity: true, Least: 0.03, Relative: true}
	s.columns = []watch.Column{ec}
	switch rng.IntN(4) {
	case 1:
		s.ph = true
	case 2:
		s.ph, s.temp = true, true
	case 3:
		s.ph, s.temp, s.ecs = true, true, 2
		s.columns = append(s.columns, ec)
	}
	if s.ph {
		s.columns = append(s.columns, watch.Column{Least: 0.08})
	}
	s.run(rows)
	return s
}

func (s *rig) between(low, high float64) float64 { return low + (high-low)*s.rng.Float64() }

func (s *rig) run(rows int) {
	rng := s.rng
	level := 500 * math.Pow(6, rng.Float64())
	target, tau := level, 1.0
	noise, swing, trend := 0.0005*math.Pow(10, rng.Float64()), s.between(0, 0.02), s.between(-0.03, 0.03)
	ph, phTarget, phNoise, phSwing := s.between(5.5, 6.5), 0.0, s.between(0.005, 0.02), s.between(0, 0.05)
	phTarget = ph
	room, tempOff, tempSwing := s.between(18, 24), 0.0, s.between(0.5, 2)
	gain := []float64{1, 1}
	phOff := 0.0
	next := s.pause(0)
	dry, dryUntil, dryLevel := -1, 0.0, 0.0
	stuck, stuckUntil := -1, 0.0
	var held watch.Seen
	for i := range rows {
		now := float64(i) * s.step
		t := int64(now * float64(time.Minute))
		if target *= 1 + trend*s.step/1440; target > 3000 {
			trend = -math.Abs(trend)
		} else if target < 500 {
			trend = math.Abs(trend)
		}
		if now >= next && dry < 0 && stuck < 0 && rows-i > 200 {
			next = s.pause(now)
			event := truth{from: t, to: t, column: -1}
			switch rng.IntN(5) {
			case 0, 1:
				event.kind = watch.Refill
				less, more := s.between(0.3, 0.55), s.between(1.6, 2.5)
				if rng.IntN(2) == 0 {
					event.kind, less, more = watch.TopUp, s.between(0.75, 0.92), s.between(1.1, 1.25)
				}
				if target > 1200 {
					target *= less
				} else {
					target *= more
				}
				tau = s.between(1, 3.3)
				moves := rng.IntN(3)
				if moves != 0 || !s.temp {
					phTarget += s.between(0.15, 0.5) * pick(rng, -1.0, 1)
					if phTarget < 5 || phTarget > 7.5 {
						phTarget = 6
						ph = 6
						if math.Abs(ph-6) < 0.2 {
							phTarget = 6.4
						}
					}
				}
				if moves != 1 {
					tempOff -= s.between(1, 3)
				}
			case 2:
				event.kind, event.column = watch.OutOfLiquid, rng.IntN(s.ecs)
				dry, dryUntil = event.column, now+math.Max(30*math.Pow(48, rng.Float64()), 4*s.step)
				dryLevel = s.between(0, 0.02) * level
				event.to = int64(dryUntil * float64(time.Minute))
			case 3:
				stuck = rng.IntN(len(s.columns))
				event.kind, event.column = watch.Stuck, stuck
				stuckUntil = now + math.Max(300*math.Pow(9.6, rng.Float64()), 40*s.step)
				event.to = int64(stuckUntil * float64(time.Minute))
				held = s.seen[i-1][stuck]
				if held.State != watch.InLiquid {
					stuck, event.kind = -1, ""
				}
			case 4:
				event.kind, event.column = watch.Jump, rng.IntN(len(s.columns))
				if event.column < s.ecs {
					f := pick(rng, 1/s.between(1.05, 1.25), s.between(1.05, 1.25))
					if gain[event.column]*f < 0.5 || gain[event.column]*f > 2 {
						f = 1 / f
					}
					gain[event.column] *= f
				} else {
					step := s.between(0.15, 0.6)
					if phOff > 0 {
						step = -step
					}
					phOff += step
				}
			}
			if event.kind != "" {
				s.truths = append(s.truths, event)
			}
		}
		if dry >= 0 && now >= dryUntil {
			if s.ecs == 1 {
				target = math.Max(target*s.between(0.8, 1.25), 500)
				level = target
			}
			s.truths = append(s.truths, truth{kind: watch.Refill, from: t, to: t, column: dry})
			dry = -1
		}
		if stuck >= 0 && now >= stuckUntil {
			stuck = -1
		}
		mixed := 1 - math.Exp(-s.step/tau)
		level += (target - level) * mixed
		ph += (phTarget - ph) * mixed
		tempOff *= math.Exp(-s.step / 600)
		day := 2 * math.Pi * now / 1440
		row := make([]watch.Seen, 0, len(s.columns))
		for k := range s.ecs {
			v := gain[k] * level * (1 + swing*math.Sin(day)) * (1 + noise*rng.NormFloat64())
			state := watch.InLiquid
			if u := rng.Float64(); u < 1.0/5000 {
				v = 0
			} else if u > 1-1.0/200 {
				v, state = math.NaN(), watch.Missing
			}
			if dry == k {
				v, state = dryLevel*(1+0.1*rng.NormFloat64()), watch.InAir
			}
			v = math.Round(v)
			row = append(row, watch.Seen{Reading: v, Value: v, State: state})
		}
		if s.ph {
			v := math.Round(100*(ph+phOff+phSwing*math.Sin(day+1)+phNoise*rng.NormFloat64())) / 100
			row = append(row, watch.Seen{Reading: v, Value: v})
		}
		if stuck >= 0 {
			row[stuck] = held
		}
		temp := math.NaN()
		if s.temp {
			temp = math.Round(10*(room+tempOff+tempSwing*math.Sin(day-1)+0.03*rng.NormFloat64())) / 10
		}
		s.times = append(s.times, t)
		s.temps = append(s.temps, temp)
		s.seen = append(s.seen, row)
	}
}

func (s *rig) pause(now float64) float64 {
	return now + math.Max(math.Max(s.between(1, 4)*1440, 720), 60*s.step)
}

// tells whether a kind can be told from others in this log: one conductivity
// probe alone, with rows too far apart to show how liquids mix, shows jumps and
// top-ups alike.
func (s *rig) tells(kind watch.Kind) bool {
	return kind != watch.Jump || len(s.columns) > 1 || s.temp || s.step < 3
}
