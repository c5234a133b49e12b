package watch_test

import (
	"math"
	"math/rand/v2"
	"time"
)

// tub invents the log of a conductivity probe in a tub, and knows in which rows
// the probe hung in air. All figures are drawn anew for each log.
//
// Population. Rows each 1 s to 1 h (eleven intervals, equally often), 20 000 in
// a log; displays in uS/cm (steps of 0, 1 or 10), mS/cm (0.001 or 0.01) and ppm
// (0.5, 0.64 or 0.7, steps of 1); strength 100 to 5000 uS/cm, log-uniform, but
// at least 20 steps of the display. Noise of 0.05 to 1.5 % of the value and up
// to 1 uS/cm besides; a swing of day and night of 0 to 10 %; a trend of up to
// 3 % a day.
//
// Deeds, one in 0.5 to 8 days (or 300 to 3000 rows, what is more): doses (to 102
// to 160 %), top-ups (to 60 to 98 %), changes for tap water (to 10 to 40 %),
// mixing in at once or with a time constant of 1 to 7 minutes; and, one in six,
// a dilution within 2 to 24 hours, and at least 12 rows, evenly or by the same
// share each time, down to rain water or demineralised water of 5 to 60 uS/cm, which
// stays for up to two days until it is dosed. Slips of the meter: none, or one
// wet row in 1000 to 20 000 reads zero, and as many read 2 to 1000 times too much.
// Blanks: none, or up to 2 % of rows, or whole stretches. In a third of the logs up
// to 8 hours of rows are missing now and then, half of them around a fall or a
// refill. In a tenth the clock is set back by an hour now and then.
//
// In air, one in 2 to 15 days (or 500 to 5000 rows, what is more), for 10 minutes
// to two days and at least 3 rows: the reading is exactly 0, or 0 to 3 % of the
// level with noise of 0, 10 or 50 % of itself, or noise of up to 1 % of the level
// about 0, with negative values cut or not. It falls at once, or with a time
// constant of up to 3 minutes, and in a third of the falls onto a film of 5 to 20
// % of the level that runs off with a time constant of 3 to 60 minutes. In a third
// of the logs there are up to ten splashes a day: one row of 5 to 100 % of the level, or 10
// to 60 % that run off within minutes; these rows count as dry. It returns at
// once, or mixing, at 0.2 to 3 times the strength. Half of the dry stretches are
// followed by one or two more within 5 to 300 rows. One log in five begins dry
// (with at most the floor), one in five ends dry.
type tub struct {
	rng                  *rand.Rand
	step                 float64 // minutes
	factor, shown        float64 // of the display, and its steps
	floor                float64
	noise, extra         float64
	swing, trend         float64
	level, target, tau   float64 // of the liquid in uS/cm, where it goes, and how fast in minutes
	slow                 dilution
	zeros, spikes, blank float64 // by row
	blankUntil           int
	last                 float64
	gaps, backwards      bool
	splashing            float64 // by minute
	air                  air
	again                int // dry stretches still to come in this series

	times  []int64
	values []float64
	dry    []bool
	why    string
}

type dilution struct {
	until, left    float64 // minutes; left until it is dosed
	by, share, old float64
}

type air struct {
	on                     bool
	from, until            float64
	before, offset         float64
	kind                   int
	cut                    bool
	tau, film, filmTau     float64
	splash, splashed, fade float64
}

func (s *tub) between(low, high float64) float64 { return low + (high-low)*s.rng.Float64() }

func (s *tub) logBetween(low, high float64) float64 {
	return low * math.Pow(high/low, s.rng.Float64())
}

// least is the weakest solution for plants.
func (s *tub) least() float64 { return math.Max(100, 20*s.shown/s.factor) }

func pick[T any](rng *rand.Rand, of ...T) T { return of[rng.IntN(len(of))] }

func invent(rng *rand.Rand, rows int) *tub {
	s := &tub{rng: rng}
	s.step = pick(rng, 1.0/60, 5.0/60, 1.0/6, 0.5, 1, 2, 5, 10, 15, 30, 60)
	display := pick(rng, [2]float64{1, 0}, [2]float64{1, 1}, [2]float64{1, 10}, [2]float64{0.001, 0.001}, [2]float64{0.001, 0.01},
		[2]float64{0.5, 1}, [2]float64{0.64, 1}, [2]float64{0.7, 1})
	s.factor, s.shown = display[0], display[1]
	s.level = s.logBetween(s.least(), 5000)
	s.target, s.tau = s.level, 0
	high := 1413.0
	for _, h := range []float64{2764, 6667, 12880} {
		if s.level > high {
			high = h
		}
	}
	s.floor = 0.003 * high * s.factor
	s.noise, s.extra = s.logBetween(0.0005, 0.015), s.between(0, 1)
	s.swing, s.trend = s.between(0, 0.1), s.between(-0.03, 0.03)
	if rng.IntN(2) == 0 {
		s.zeros, s.spikes = 1/s.logBetween(1000, 20000), 1/s.logBetween(1000, 20000)
	}
	if rng.IntN(2) == 0 {
		s.blank = s.between(0, 0.02)
	}
	s.gaps, s.backwards = rng.IntN(3) == 0, rng.IntN(10) == 0
	if rng.IntN(3) == 0 {
		s.splashing = math.Min(s.between(0, 10)/1440, 0.02/s.step)
	}
	s.run(rows)
	return s
}

func (s *tub) run(rows int) {
	now, clock := 0.0, 0.0 // minutes; what the clock shows
	deed := math.Max(s.between(0.5, 8)*1440, s.between(300, 3000)*s.step)
	hang := s.nextAir(0)
	begins, ends := s.rng.IntN(5) == 0, s.rng.IntN(5) == 0
	if begins {
		s.fall(now, true)
	}
	for i := 0; i < rows; i++ {
		if ends && i > rows-200 && !s.air.on && s.slow.old == 0 {
			s.fall(now, false)
			s.air.until = math.Inf(1)
		}
		if !s.air.on {
			s.liquid(now, &deed)
			if s.slow.old > 0 {
				s.blankUntil = 0
				hang = math.Max(hang, now+30*s.step)
			}
			if now >= hang && s.slow.old == 0 && math.Abs(s.target/s.level-1) < 0.5 {
				s.fall(now, false)
				if s.gaps && s.rng.IntN(2) == 0 {
					gap := s.between(0.5, 8) * 60
					now, clock = now+gap, clock+gap
					s.air.until += gap
				}
			}
		} else if now >= s.air.until {
			s.refill()
			hang, deed = s.nextAir(now), math.Max(deed, now+math.Max(60*s.step, 30))
		}
		s.row(now, clock)
		jump := s.step
		if s.gaps && s.slow.old == 0 && s.rng.Float64() < 1e-3 {
			jump += s.between(0.5, 8) * 60
		}
		now += jump
		clock += jump
		if s.backwards && s.rng.Float64() < 3e-4 {
			clock -= 60
		}
	}
}

func (s *tub) nextAir(now float64) float64 {
	if s.again == 0 {
		if s.again = -1; s.rng.IntN(2) == 0 {
			s.again = 1 + s.rng.IntN(2)
		}
	}
	if s.again > 0 {
		s.again--
		return now + math.Max(s.between(5, 300)*s.step, 10)
	}
	s.again = 0
	return now + math.Max(s.between(2, 15)*1440, s.between(500, 5000)*s.step)
}

// liquid moves the strength on by a row.
func (s *tub) liquid(now float64, deed *float64) {
	if d := &s.slow; d.old > 0 {
		switch {
		case now < d.until:
			s.target = math.Max(s.target*d.share-d.by, 5)
			s.level = s.target
		case d.left == 0:
			d.left = now + s.between(1, 48)*60
		case now >= d.left:
			s.target, s.tau = d.old*s.between(0.7, 1.2), pick(s.rng, 0.0, 1, 7)
			*d = dilution{}
		}
	} else {
		if s.target *= 1 + s.trend*s.step/1440; s.target > 6000 || s.target < s.least() {
			s.trend = -s.trend
		}
	}
	if now >= *deed && s.slow.old == 0 {
		*deed = now + math.Max(s.between(0.5, 8)*1440, s.between(300, 3000)*s.step)
		s.tau = pick(s.rng, 0.0, 1, s.between(1, 7))
		switch s.rng.IntN(6) {
		case 0, 1:
			s.target *= s.between(1.02, 1.6)
		case 2, 3:
			s.target *= s.between(0.6, 0.98)
		case 4:
			s.target *= s.between(0.1, 0.4)
		case 5:
			takes := math.Max(s.between(2, 24)*60, 12*s.step)
			s.slow = dilution{until: now + takes, share: 1, old: s.target}
			to, n := s.between(5, 60), takes/s.step
			if s.rng.IntN(2) == 0 {
				s.slow.share = math.Pow(to/s.target, 1/n)
			} else {
				s.slow.by = (s.target - to) / n
			}
		}
		if s.slow.old == 0 {
			if s.target > 6000 {
				s.target *= 0.4
			}
			s.target = math.Max(s.target, s.least())
		}
	}
	s.level += (s.target - s.level) * s.mixed()
}

func (s *tub) mixed() float64 {
	if s.tau == 0 {
		return 1
	}
	return 1 - math.Exp(-s.step/s.tau)
}

// fall hangs the probe in air.
func (s *tub) fall(now float64, begins bool) {
	a := air{on: true, from: now, until: now + math.Max(s.logBetween(10, 2880), s.between(3, 20)*s.step), before: s.level}
	a.kind, a.cut = s.rng.IntN(5), s.rng.IntN(2) == 0
	a.offset = s.between(0, 0.03) * s.level
	a.tau = pick(s.rng, 0.0, 0, s.between(0, 3))
	if s.rng.IntN(3) == 0 {
		a.film, a.filmTau = s.between(0.05, 0.2), s.logBetween(3, 60)
	}
	if begins {
		a.offset, a.tau, a.film = s.between(0, 0.8)*s.floor/s.factor, 0, 0
		if a.kind > 1 {
			a.kind = 1
		}
	}
	a.fade = 1
	s.air = a
}

func (s *tub) refill() {
	s.air = air{}
	to := math.Max(s.level*s.logBetween(0.2, 3), s.least())
	if to > 6000 {
		to = s.level
	}
	s.target, s.tau = to, pick(s.rng, 0.0, 1, s.between(1, 7))
	s.level = to * s.between(0.7, 1)
}

// inAir is what the probe shows in air.
func (s *tub) inAir(now float64) float64 {
	a := &s.air
	value := 0.0
	switch a.kind {
	case 1:
		value = a.offset
	case 2:
		value = a.offset * (1 + 0.1*s.rng.NormFloat64())
	case 3:
		value = a.offset * (1 + 0.5*s.rng.NormFloat64())
	case 4:
		value = a.offset / 3 * s.rng.NormFloat64()
	}
	since := now - a.from
	if a.film > 0 {
		value += a.film * a.before * math.Exp(-since/a.filmTau)
	}
	if a.tau > 0 {
		value += a.before * math.Exp(-(since+s.step*s.rng.Float64())/a.tau)
	}
	if s.rng.Float64() < s.splashing*s.step {
		a.splash, a.fade, a.splashed = s.between(0.05, 1)*a.before, 0, now
		if s.rng.IntN(2) == 0 {
			a.splash, a.fade = s.between(0.1, 0.6)*a.before, s.between(0.5, 5)
		}
	}
	if a.splash > 0 {
		if a.fade == 0 {
			value += a.splash
			a.splash = 0
		} else {
			value += a.splash * math.Exp(-(now-a.splashed)/a.fade)
		}
	}
	if a.cut {
		value = math.Max(value, 0)
	}
	return value
}

// row writes a row.
func (s *tub) row(now, clock float64) {
	value := 0.0
	if s.air.on {
		value = s.inAir(now)
	} else {
		value = s.level * (1 + s.swing*math.Sin(2*math.Pi*clock/1440)) * (1 + s.noise*s.rng.NormFloat64())
		value = math.Max(value+s.extra*s.rng.NormFloat64(), 0)
		switch u := s.rng.Float64(); {
		case u < s.zeros && s.last != 0:
			value = 0
		case u > 1-s.spikes:
			value *= s.logBetween(2, 1000)
		}
	}
	s.last = value
	value *= s.factor
	if s.shown > 0 {
		value = math.Round(value/s.shown) * s.shown
	}
	if s.rng.Float64() < s.blank {
		value = math.NaN()
		if s.rng.IntN(20) == 0 && s.slow.old == 0 {
			s.blankUntil = len(s.times) + s.rng.IntN(60)
		}
	}
	if len(s.times) < s.blankUntil {
		value = math.NaN()
	}
	s.times = append(s.times, int64(clock*float64(time.Minute)))
	s.values = append(s.values, value)
	s.dry = append(s.dry, s.air.on)
}
