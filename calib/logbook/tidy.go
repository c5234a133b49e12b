package logbook

import (
	"bytes"
	"encoding/json"
	"time"
)

// tidyTime brings a time to UTC and whole microseconds, which is what the file
// holds.
func tidyTime(t *time.Time) {
	if !t.IsZero() {
		*t = t.UTC().Truncate(time.Microsecond)
	}
}

// tidyNumbers turns a negative zero, which the file cannot hold, into zero.
func tidyNumbers(numbers ...*float64) {
	for _, x := range numbers {
		if x != nil && *x == 0 {
			*x = 0
		}
	}
}

// tidyObject takes the blanks out of JSON that is kept as it is. What is not
// JSON stays, for the inspection to find.
func tidyObject(text *json.RawMessage) {
	var b bytes.Buffer
	if len(*text) > 0 && json.Compact(&b, *text) == nil {
		*text = b.Bytes()
	}
}

// tidyHead does it for what all rows have.
func tidyHead(r Record) {
	h := r.head()
	if h.Kind == "" {
		h.Kind = r.kind()
	}
	tidyTime(&h.RecordedAt)
	r.tidy()
}
