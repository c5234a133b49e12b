package scenario

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"time"
)

// Nearness is how near a log came to what was true, over the rows that are
// believed: root mean squares of the relative errors.
type Nearness struct {
	Rows      int
	Raw       float64 // what the probe showed, brought to 25 C by the straight line, but not corrected
	Corrected float64
	// Covered is the share of rows whose truth lies within two standard
	// uncertainties of the corrected value.
	Covered float64
}

// Factor is how many times nearer the corrected log is.
func (n Nearness) Factor() float64 { return n.Raw / n.Corrected }

// HowNear holds the log that correct has written against the truth.
func HowNear(corrected []byte) (Nearness, error) {
	truth, err := TubLog()
	if err != nil {
		return Nearness{}, err
	}
	rows, err := csv.NewReader(bytes.NewReader(corrected)).ReadAll()
	if err != nil {
		return Nearness{}, fmt.Errorf("the corrected log: %w", err)
	}
	if len(rows) != len(truth)+1 {
		return Nearness{}, fmt.Errorf("the corrected log has %d rows; want %d", len(rows)-1, len(truth))
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for _, name := range []string{"ec", "water_C", "ec_corrected", "ec_u", "ec_flag"} {
		if _, ok := column[name]; !ok {
			return Nearness{}, fmt.Errorf("the corrected log has no column %s", name)
		}
	}
	var n Nearness
	for i, row := range rows[1:] {
		if stamp := row[column["time"]]; stamp != truth[i].Time.Format(time.RFC3339) {
			return Nearness{}, fmt.Errorf("row %d of the corrected log is of %s; want %s", i+1, stamp, truth[i].Time.Format(time.RFC3339))
		}
		if row[column["ec_flag"]] != "" {
			continue
		}
		var figures [4]float64
		for j, name := range []string{"ec", "water_C", "ec_corrected", "ec_u"} {
			if figures[j], err = strconv.ParseFloat(row[column[name]], 64); err != nil {
				return Nearness{}, fmt.Errorf("row %d of the corrected log: %w", i+1, err)
			}
		}
		raw := figures[0] / (1 + AlphaPercent/100*(figures[1]-25))
		n.Rows++
		n.Raw += math.Pow(raw/truth[i].TrueEC-1, 2)
		n.Corrected += math.Pow(figures[2]/truth[i].TrueEC-1, 2)
		if math.Abs(figures[2]-truth[i].TrueEC) <= 2*figures[3] {
			n.Covered++
		}
	}
	if n.Rows == 0 {
		return n, fmt.Errorf("no row of the corrected log is believed")
	}
	n.Raw, n.Corrected = math.Sqrt(n.Raw/float64(n.Rows)), math.Sqrt(n.Corrected/float64(n.Rows))
	n.Covered /= float64(n.Rows)
	return n, nil
}
