package series

import (
	"math"
	"slices"
)

// Outline is an [Observer] that keeps the outline of a log for a picture: time
// is cut into stretches of one length, a few hundred to a thousand, and of each
// the extremes are kept. It takes the same memory for a log of any length, since
// two stretches become one whenever there are too many of them.
type Outline struct {
	probes   int
	halvings uint  // a stretch is 2^halvings nanoseconds long
	first    int64 // number of the first stretch, counted from 1970
	pieces   []OutlinePiece
}

// OutlinePiece is a stretch of the log.
type OutlinePiece struct {
	From, To int64 // Unix nanoseconds: of its first row and its last; equal for one row
	Rows     int64 // 0: there are none, and nothing else is told
	Probes   []OutlineProbe
}

// OutlineProbe is what a stretch says of one probe. Extremes are of sound rows:
// those that can be believed, are only stale, or lie before a calibration; where
// there are none, of the others.
type OutlineProbe struct {
	Reading Extremes // as logged
	Value   Extremes // corrected
	Low     Extremes // of the value less its standard uncertainty, where that is known
	High    Extremes // of the value and its standard uncertainty
	Sound   bool     // there are sound rows
	Flagged [len(flagWords)]int64
}

// Extremes are the least and the greatest of some numbers.
type Extremes struct{ Least, Greatest float64 }

// Known tells whether there were any numbers.
func (e Extremes) Known() bool { return e.Least <= e.Greatest }

var noExtremes = Extremes{math.Inf(1), math.Inf(-1)}

func (e *Extremes) add(x float64) { // NaN changes nothing
	if x < e.Least {
		e.Least = x
	}
	if x > e.Greatest {
		e.Greatest = x
	}
}

func (e *Extremes) join(o Extremes) {
	e.Least, e.Greatest = math.Min(e.Least, o.Least), math.Max(e.Greatest, o.Greatest)
}

// mostPieces is how many stretches are kept at most, and firstHalvings what the
// shortest are: 1 ms.
const mostPieces, firstHalvings = 1024, 20

// NewOutline returns one for a plan of so many probes.
func NewOutline(probes int) *Outline { return &Outline{probes: probes, halvings: firstHalvings} }

// Pieces are the stretches that hold rows, by time.
func (o *Outline) Pieces() []OutlinePiece {
	return slices.DeleteFunc(slices.Clone(o.pieces), func(p OutlinePiece) bool { return p.Rows == 0 })
}

// Observe takes a row. One without a time has no place.
func (o *Outline) Observe(row *Row) {
	if row.Time <= untimed {
		return
	}
	p := o.piece(row.Time)
	if p.Rows == 0 {
		p.From, p.To, p.Probes = row.Time, row.Time, newOutlineProbes(o.probes)
	}
	p.Rows++
	p.From, p.To = min(p.From, row.Time), max(p.To, row.Time)
	for i := range row.Seen {
		p.Probes[i].add(&row.Seen[i])
	}
}

func newOutlineProbes(n int) []OutlineProbe {
	list := make([]OutlineProbe, n)
	for i := range list {
		list[i].forget()
	}
	return list
}

func (p *OutlineProbe) forget() {
	p.Reading, p.Value, p.Low, p.High = noExtremes, noExtremes, noExtremes, noExtremes
}

func (p *OutlineProbe) add(s *Seen) {
	p.Flagged[s.Flag]++
	sound := s.Flag == Believed || s.Flag == Stale || s.Flag == BeforeCalibration
	if p.Sound && !sound {
		return
	}
	if sound && !p.Sound {
		p.forget()
		p.Sound = true
	}
	p.Reading.add(s.Reading)
	p.Value.add(s.Value)
	p.Low.add(s.Value - s.U)
	p.High.add(s.Value + s.U)
}

// piece is the stretch of a time.
func (o *Outline) piece(t int64) *OutlinePiece {
	at := t >> o.halvings
	if len(o.pieces) == 0 {
		o.first = at
	}
	for max(at, o.first+int64(len(o.pieces))-1)-min(at, o.first) >= mostPieces {
		o.halve()
		at = t >> o.halvings
	}
	if before := o.first - at; before > 0 {
		o.pieces, o.first = slices.Insert(o.pieces, 0, make([]OutlinePiece, before)...), at
	}
	for o.first+int64(len(o.pieces)) <= at {
		o.pieces = append(o.pieces, OutlinePiece{})
	}
	return &o.pieces[at-o.first]
}

// halve makes one stretch of two.
func (o *Outline) halve() {
	first, n := o.first>>1, 0
	for i := range o.pieces {
		to := int((o.first+int64(i))>>1 - first)
		if to < n {
			o.pieces[to].join(o.pieces[i])
		} else {
			o.pieces[to] = o.pieces[i]
			n = to + 1
		}
	}
	clear(o.pieces[n:])
	o.pieces, o.first, o.halvings = o.pieces[:n], first, o.halvings+1
}

func (p *OutlinePiece) join(q OutlinePiece) {
	switch {
	case q.Rows == 0:
		return
	case p.Rows == 0:
		*p = q
		return
	}
	p.Rows += q.Rows
	p.From, p.To = min(p.From, q.From), max(p.To, q.To)
	for i := range p.Probes {
		p.Probes[i].join(&q.Probes[i])
	}
}

func (p *OutlineProbe) join(q *OutlineProbe) {
	for f, n := range q.Flagged {
		p.Flagged[f] += n
	}
	switch {
	case p.Sound && !q.Sound:
		return
	case q.Sound && !p.Sound:
		p.Reading, p.Value, p.Low, p.High, p.Sound = q.Reading, q.Value, q.Low, q.High, true
		return
	}
	p.Reading.join(q.Reading)
	p.Value.join(q.Value)
	p.Low.join(q.Low)
	p.High.join(q.High)
}
