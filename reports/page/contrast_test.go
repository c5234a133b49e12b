package page

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// luminance is the relative luminance of a colour (WCAG 2.2, definitions).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	require.NoError(t, err, hex)
	part := func(shift uint) float64 {
		v := float64(n>>shift&0xff) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

// contrast is the contrast ratio of two colours (WCAG 2.2, definitions).
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// Text keeps 4.5 : 1 on what it stands on (WCAG 2.2, 1.4.3), by day and in the
// dark, and no rule of the style has a colour of its own.
func TestColoursHaveContrast(t *testing.T) {
	assert.InDelta(t, 21, contrast(t, "#000000", "#ffffff"), 1e-9, "the greatest there is")
	assert.InDelta(t, 4.48, contrast(t, "#777777", "#ffffff"), 0.005, "the well-known grey that just fails")
	root := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(commonStyle, -1)
	require.Len(t, root, 2, "day and dark")
	var names [2]int
	for i, block := range root {
		colour := map[string]string{}
		for _, v := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`).FindAllStringSubmatch(block[1], -1) {
			colour[v[1]] = v[2]
		}
		names[i] = len(colour)
		for _, ink := range []string{"ink", "soft", "link"} {
			for _, paper := range []string{"paper", "shade"} {
				assert.GreaterOrEqual(t, contrast(t, colour[ink], colour[paper]), 4.5, "%s on %s, %d", ink, paper, i)
			}
		}
		for _, mark := range Marks() {
			ink, paper := colour[string(mark)+"-ink"], colour[string(mark)+"-paper"]
			assert.GreaterOrEqual(t, contrast(t, ink, paper), 4.5, "%s, %d", mark, i)
		}
	}
	assert.Equal(t, names[0], names[1], "every colour has its counterpart in the dark")
	rest := regexp.MustCompile(`:root \{[^}]*\}`).ReplaceAllString(commonStyle, "")
	assert.NotRegexp(t, `#[0-9a-fA-F]{3}|rgb|hsl`, rest)
}
