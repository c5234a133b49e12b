package watch

import (
	"math/rand/v2"
)

// thinned keeps a bounded sample of values in their order. Up to MostSample it is
// all of them. When it is full, one of each pair is dropped by lot, and from then
// on one value is drawn of each stretch of twice as many: every value has the
// same chance, no stretch of the day is missed, and no rhythm of the log shows.
type thinned struct {
	values []float64
	stride int64 // values that one stands for
	seen   int64 // of the stretch that goes on
	drawn  int64 // which of it is kept
}

func (s *thinned) clear() {
	s.values, s.stride, s.seen, s.drawn = s.values[:0], 1, 0, 0
}

func (s *thinned) add(value float64, random *rand.PCG) {
	if s.seen == 0 {
		if len(s.values) == MostSample {
			s.halve(random)
		}
		if s.stride > 1 {
			s.drawn = int64(random.Uint64() % uint64(s.stride))
		}
	}
	if s.seen == s.drawn {
		s.values = append(s.values, value)
	}
	if s.seen++; s.seen == s.stride {
		s.seen = 0
	}
}

// halve keeps one value of each pair, at the beginning of a stretch.
func (s *thinned) halve(random *rand.PCG) {
	bits := uint64(0)
	half := s.values[:0]
	for i := 0; i+1 < len(s.values); i += 2 {
		if i%128 == 0 {
			bits = random.Uint64()
		}
		half = append(half, s.values[i+int(bits&1)])
		bits >>= 1
	}
	s.values = half
	s.stride *= 2
}

// median orders the sample in part and returns its middle.
func (s *thinned) median() float64 {
	n := len(s.values)
	upper := nth(s.values, n/2)
	if n%2 == 1 {
		return upper
	}
	lower := s.values[0]
	for _, v := range s.values[:n/2] {
		lower = max(lower, v)
	}
	return lower + (upper-lower)/2
}

// nth moves the k-th smallest value to its place, smaller ones before it, and
// returns it (Hoare's selection, with the middle of three as pivot).
func nth(v []float64, k int) float64 {
	low, high := 0, len(v)-1
	for low < high {
		a, b, c := v[low], v[low+(high-low)/2], v[high]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := low, high
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return v[k]
		}
	}
	return v[k]
}
