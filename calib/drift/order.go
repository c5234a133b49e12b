package drift

// What has one time is put in order here: what was found, what was done, what
// was left. One adjustment written beside every bottle of the day is one
// adjustment.

// settle orders the entries of every moment. The list is in order of time.
func settle(list []Entry) []Entry {
	var out []Entry
	for from := 0; from < len(list); {
		to := from + 1
		for to < len(list) && list[to].Time.Equal(list[from].Time) {
			to++
		}
		out = append(out, settleMoment(list[from:to])...)
		from = to
	}
	return out
}

// settleMoment orders the entries of one moment: readings as found, then
// events and readings of no state as they stand, then readings as left. An
// event beside a reading with a state becomes an entry of its own.
func settleMoment(list []Entry) []Entry {
	var found, done, left []Entry
	do := func(e Entry) {
		if n := len(done); e.Ref != nil || n == 0 || done[n-1].Ref != nil || done[n-1].Event != e.Event {
			done = append(done, e)
		}
	}
	for _, e := range list {
		if e.Ref == nil || e.State == "" {
			do(e)
			continue
		}
		if e.Event != "" {
			do(Entry{Row: e.Row, Name: e.Name, Time: e.Time, Event: e.Event})
		}
		e.Event = ""
		if e.State == AsFound {
			found = append(found, e)
		} else {
			left = append(left, e)
		}
	}
	return append(append(found, done...), left...)
}

// continued tells of every entry whether it and the one before it tell of one
// event beside two readings, on which side of it nobody knows. A second reading
// of one reference begins another: most likely one was taken before the event
// and one after it.
func continued(list []Entry) []bool {
	out := make([]bool, len(list)+1) // one more: nothing goes on after the last
	refs := map[float64]bool{}
	for i := range list {
		e := &list[i]
		if out[i] = i > 0 && besideOne(&list[i-1], e) && !refs[*e.Ref]; !out[i] {
			clear(refs)
		}
		if e.Ref != nil {
			refs[*e.Ref] = true
		}
	}
	return out
}

func besideOne(a, b *Entry) bool {
	return a.Ref != nil && b.Ref != nil && a.Event != "" && a.Event == b.Event && a.Time.Equal(b.Time)
}
