package picture

import (
	"fmt"
	"image/color"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lightness is CIE 1976 L* of a colour of sRGB (IEC 61966-2-1), from 0 to 100.
func lightness(c color.Color) float64 {
	r, g, b, _ := c.RGBA()
	linear := func(v uint32) float64 {
		x := float64(v) / 0xffff
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	y := 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// What differs, differs in form: no two lines share their dashes, no two marks
// their shape, and no two signs are the same.
func TestFormsDifferWithoutColour(t *testing.T) {
	dashes, signs := map[string]Role{}, map[rune]string{signBand: "band", signShade: "shade", signFilled: "filled", signAbove: "above", signBelow: "below"}
	require.Len(t, signs, 5)
	for _, r := range []Role{Fitted, Forecast, Limit, Moment, Deadline, Shown, Spread, Right} {
		f := forms[r]
		key := fmt.Sprint(f.Dashes)
		other, clash := dashes[key]
		assert.False(t, clash, "role %d is dashed as role %d", r, other)
		dashes[key] = r
		assert.Empty(t, signs[f.sign], "role %d", r)
		signs[f.sign] = fmt.Sprint("role ", r)
	}
	shapes := map[string]Shape{}
	for s, m := range marks {
		key := fmt.Sprintf("%T", m.glyph)
		other, clash := shapes[key]
		assert.False(t, clash, "shape %d looks like shape %d", s, other)
		shapes[key] = s
		assert.Empty(t, signs[m.sign], "shape %d", s)
		signs[m.sign] = fmt.Sprint("shape ", s)
	}
	assert.Empty(t, signs[forms[bar].sign])
}

// WCAG 2.2, 1.4.3 and 1.4.11: text 4.5 to 1 against its ground, what must be
// seen of a picture 3 to 1. The band is a ground itself.
func TestContrast(t *testing.T) {
	luminance := func(c color.Color) float64 {
		l := lightness(c)
		if l <= 8 {
			return l * 27 / 24389
		}
		return math.Pow((l+16)/116, 3)
	}
	contrast := func(a, b color.Color) float64 {
		x, y := luminance(a), luminance(b)
		return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
	}
	assert.InDelta(t, 21, contrast(color.White, color.Black), 1e-6, "the largest there is")
	for _, c := range palette {
		assert.Equal(t, 1, strings.Count(Properties(false), hexOf(c.light)), c.name)
	}
	light, dark := map[string]color.Color{}, map[string]color.Color{}
	for _, c := range palette {
		light[c.name], dark[c.name] = c.light, c.dark
	}
	for name, colours := range map[string]map[string]color.Color{"light": light, "dark": dark} {
		for _, ground := range []string{"paper", "mist", "sand"} {
			assert.Greater(t, contrast(colours["ink"], colours[ground]), 4.5, "%s: text on %s", name, ground)
			for _, c := range []string{"blue", "brown", "grey"} {
				assert.Greater(t, contrast(colours[c], colours[ground]), 3.0, "%s: %s on %s", name, c, ground)
			}
		}
		assert.Greater(t, contrast(colours["paper"], colours["blue"]), 4.5, "%s: a label within a bar", name)
		away := func(a, b string) float64 { return math.Abs(lightness(colours[a]) - lightness(colours[b])) }
		assert.Greater(t, away("paper", "mist"), 10.0, "%s: the band is seen", name)
		assert.Greater(t, away("paper", "sand"), 4.5, "%s: what is shaded is seen", name)
		assert.Greater(t, away("mist", "sand"), 4.5, "%s: what is shaded is no band", name)
	}
}
