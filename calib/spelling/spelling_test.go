package spelling

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNearestFindsLikelySlips(t *testing.T) {
	commands := []string{"recipe", "reference", "calibrate", "compare", "demo"}
	units := []string{"uS/cm", "mS/cm", "S/m", "mg/L", "mg/kg", "g"}
	for _, c := range []struct {
		word       string
		candidates []string
		want       string
	}{
		{"recpie", commands, "recipe"},
		{"calibrat", commands, "calibrate"},
		{"calibration", commands, "calibrate"},
		{"Compare", commands, "compare"},
		{"ref", commands, "reference"},
		{"us/cm", units, "uS/cm"},
		{"uS/cn", units, "uS/cm"},
		{"mgL", units, "mg/L"},
		{"G", units, "g"},
	} {
		got, ok := Nearest(c.word, c.candidates)
		assert.True(t, ok, c.word)
		assert.Equal(t, c.want, got, c.word)
	}
}

func TestNearestStaysSilentWhenNothingIsClose(t *testing.T) {
	for _, word := range []string{"", "x", "banana", "qq", strings.Repeat("recipe", 50)} {
		got, ok := Nearest(word, []string{"recipe", "reference", "demo"})
		assert.False(t, ok, word)
		assert.Empty(t, got, word)
	}
	_, ok := Nearest("recipe", nil)
	assert.False(t, ok, "no candidates, no suggestion")
}

func TestDistanceIsAMetricOnSamples(t *testing.T) {
	words := []string{"", "a", "ab", "ba", "abc", "recipe", "recpie", "µS/cm", "uS/cm"}
	for _, a := range words {
		assert.Zero(t, distance(a, a), a)
		for _, b := range words {
			assert.Equal(t, distance(a, b), distance(b, a), "%q %q", a, b)
			if a != b {
				assert.Positive(t, distance(a, b), "%q %q", a, b)
			}
		}
	}
	// Worked by hand: one swap; three edits (the textbook pair kitten, sitting).
	assert.Equal(t, 1, distance("recpie", "recipe"))
	assert.Equal(t, 3, distance("kitten", "sitting"))
}

func ExampleNearest() {
	word, ok := Nearest("calibrat", []string{"calibrate", "compare"})
	fmt.Println(word, ok)
	// Output: calibrate true
}
