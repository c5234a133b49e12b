package drift

import (
	"math"
	"slices"
	"strings"
)

// share gives an offset of its own to every error that several checks have in
// common: that of a source, of a bottle, of a named part.
func (t *timeline) share() {
	type user struct {
		check int
		size  float64 // in scales
	}
	users := map[string][]user{}
	var names []string
	add := func(name string, check int, size float64) {
		if _, ok := users[name]; !ok {
			names = append(names, name)
		}
		users[name] = append(users[name], user{check, size})
	}
	for k := range t.checks {
		c := &t.checks[k]
		unit := t.unitAt(c.ref)
		e := &t.entries[c.entries[0]]
		if e.URefShared != nil && *e.URefShared > 0 {
			add("source "+e.RefSource, k, *e.URefShared*unit)
		}
		if e.Bottle != "" && e.URef != nil && *e.URef > 0 {
			add(bottlePrefix+e.Bottle, k, *e.URef*unit)
		}
		for _, p := range e.Shared {
			if p.Size != 0 {
				add("part "+p.ID, k, p.Size*unit)
			}
		}
	}
	t.base = second
	if t.twoReferences() {
		t.base = 4
	}
	var shared []offset
	for _, name := range names {
		o := offset{names: []string{name}, sizes: map[int]float64{}}
		for _, u := range users[name] {
			o.checks = append(o.checks, u.check)
			o.sizes[u.check] = u.size
		}
		isBottle := strings.HasPrefix(name, bottlePrefix)
		if len(o.checks) == 1 {
			// Nothing is shared: it is the check's own. A bottle's is counted there already.
			if c := &t.checks[o.checks[0]]; !isBottle {
				c.known += o.sizes[o.checks[0]] * o.sizes[o.checks[0]]
			}
			continue
		}
		if isBottle {
			for k, size := range o.sizes {
				t.checks[k].known = math.Max(0, t.checks[k].known-size*size)
			}
		}
		if k := slices.IndexFunc(shared, o.moves); k >= 0 {
			shared[k].join(o)
			continue
		}
		shared = append(shared, o)
	}
	t.seat(shared)
}

const bottlePrefix = "bottle "

// offset is an error that is the same at several checks.
type offset struct {
	names  []string
	checks []int           // in order
	sizes  map[int]float64 // what one standard deviation of it moves each check, in scales
}

// moves tells whether the other moves the same checks in the same proportions:
// nothing can tell the two apart then, and one offset does for both.
func (o offset) moves(other offset) bool {
	if !slices.Equal(o.checks, other.checks) {
		return false
	}
	first := o.checks[0]
	ratio := other.sizes[first] / o.sizes[first]
	for _, k := range o.checks {
		if math.Abs(other.sizes[k]-ratio*o.sizes[k]) > 1e-9*math.Abs(other.sizes[k]) {
			return false
		}
	}
	return true
}

func (o *offset) join(other offset) {
	first := o.checks[0]
	ratio := other.sizes[first] / o.sizes[first]
	grow := math.Sqrt(1 + ratio*ratio)
	for k := range o.sizes {
		o.sizes[k] *= grow
	}
	o.names = append(o.names, other.names...)
}

// seat gives the offsets their states. An offset needs one from its first check
// to its last, and the next may have it after that, so that years of bottles
// need no more states than were open at once.
func (t *timeline) seat(offsets []offset) {
	slices.SortStableFunc(offsets, func(a, b offset) int { return a.checks[0] - b.checks[0] })
	var busy []int // by seat: the last check of the offset that has it
	for n, o := range offsets {
		first, last := o.checks[0], o.checks[len(o.checks)-1]
		seat := slices.IndexFunc(busy, func(last int) bool { return last < first })
		if seat < 0 {
			seat = len(busy)
			busy = append(busy, 0)
		}
		busy[seat] = last
		state := t.base + seat
		t.checks[first].begins = append(t.checks[first].begins, state)
		for _, k := range o.checks {
			t.checks[k].loads = append(t.checks[k].loads, load{n, state, o.sizes[k]})
		}
	}
	t.dim = t.base + len(busy)
}

// basis is what the second component of the error is proportional to: the
// inverse of the reference where errors are fractions (a zero error), the
// reference itself otherwise (a gain error).
func (t *timeline) basis(ref float64) float64 {
	if t.relative {
		return 1 / ref
	}
	return ref
}

// leastSpread is how far apart references must lie, as a part of the largest,
// to tell zero from gain. Common practice, no source.
const leastSpread = 0.2

// twoReferences tells whether the references lie far enough apart. Once at
// each end will do, since a first visit with two bottles tells already that the
// error is not the same in both; of the days of a log, twice.
func (t *timeline) twoReferences() bool {
	var refs []float64
	for i := range t.checks {
		refs = append(refs, t.checks[i].ref)
	}
	slices.Sort(refs)
	once, n := 0, len(refs)
	if t.logged {
		once = 1
	}
	if n < 2*once+2 {
		return false
	}
	low, high := refs[once], refs[n-1-once]
	return high > low && high-low >= leastSpread*math.Max(math.Abs(low), math.Abs(high))
}

// split sets the loading of the second component on every check.
func (t *timeline) split() {
	if t.base == second {
		return
	}
	low, high, sum := math.Inf(1), math.Inf(-1), 0.0
	for i := range t.checks {
		x := t.basis(t.checks[i].ref)
		low, high, sum = math.Min(low, x), math.Max(high, x), sum+x
	}
	t.centre, t.span = sum/float64(len(t.checks)), high-low
	for i := range t.checks {
		t.checks[i].h = t.loading(t.checks[i].ref)
	}
	t.pin()
	t.expose()
}

// expose sets for how long a knock may have gone unseen by every check. Where a
// knock may move one reference and not the other, the check of the other shows
// nothing, so the time counts from the last check of the same one, and the
// references share it.
func (t *timeline) expose() {
	before := map[int]float64{}
	for i := range t.checks {
		c := &t.checks[i]
		k := t.cluster(c.ref)
		if at, ok := before[k]; ok {
			c.exposed = (c.month - at) / float64(len(t.clusters)+1)
		}
		before[k] = c.month
	}
}

// loading is h at a reference.
func (t *timeline) loading(ref float64) float64 {
	if t.base == second {
		return 0
	}
	return (t.basis(ref) - t.centre) / t.span
}
