package reports

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
)

// longestName and shortestName bound the width to which names of meters and
// samples are cut where a table would be wider than the screen.
const longestName, shortestName = 16, 6

// fitNames builds a table with names in full, or cut to the greatest width with
// which it fits the screen; the least where none does.
func fitNames(s Style, names []string, build func(shorten func(string) string) *Table) *Table {
	t := build(func(name string) string { return name })
	longest := 0
	for _, name := range names {
		longest = max(longest, text.StringWidthWithoutEscSequences(name))
	}
	for width := min(longestName, longest); !t.fits(s.width()) && width >= shortestName; width-- {
		short := shortNames(names, width)
		t = build(func(name string) string {
			if cut, ok := short[name]; ok {
				return cut
			}
			return name
		})
	}
	return t
}

// fits says whether the table is no wider than the screen with its words in one
// piece each.
func (t *Table) fits(screen int) bool {
	total := len(gap) * max(0, len(t.columns)-1)
	for i, width := range t.widths(screen) {
		total += width
		if !t.columns[i].Text {
			continue
		}
		for _, row := range t.rows {
			for _, word := range strings.Fields(row[i]) {
				if text.StringWidthWithoutEscSequences(word) > width {
					return false
				}
			}
		}
	}
	return total <= screen
}

// shortNames cuts names to a width: the beginning and the end, which tell names
// of one family apart, or a number where they do not.
func shortNames(names []string, width int) map[string]string {
	out, taken := map[string]string{}, map[string]bool{}
	for _, name := range names {
		if text.StringWidthWithoutEscSequences(name) <= width {
			out[name], taken[name] = name, true
		}
	}
	for _, name := range names {
		if _, done := out[name]; done {
			continue
		}
		runes := []rune(name)
		tail := (width - 1) / 2
		cut := strings.TrimSpace(beginning(runes, width-1-tail)) + "…" + strings.TrimSpace(ending(runes, tail))
		for n := 2; taken[cut]; n++ {
			number := fmt.Sprint(n)
			cut = beginning(runes, max(1, width-1-len(number))) + "…" + number
		}
		out[name], taken[cut] = cut, true
	}
	return out
}

// beginning and ending are as much of a name as fits a width on the screen.
func beginning(runes []rune, width int) string {
	n := 0
	for n < len(runes) && text.StringWidthWithoutEscSequences(string(runes[:n+1])) <= width {
		n++
	}
	return string(runes[:n])
}

func ending(runes []rune, width int) string {
	n := len(runes)
	for n > 0 && text.StringWidthWithoutEscSequences(string(runes[n-1:])) <= width {
		n--
	}
	return string(runes[n:])
}

// names are the meters and samples of a comparison.
func (r *Compare) names() []string {
	var out []string
	for _, p := range r.Pairs {
		out = append(out, p.A, p.B)
	}
	for _, m := range r.Meters {
		out = append(out, m.Meter)
		for _, s := range m.Samples {
			out = append(out, s.Sample)
		}
	}
	for _, c := range r.Causes {
		for _, name := range []*string{c.Meter, c.Sample, c.OtherSample} {
			if name != nil {
				out = append(out, *name)
			}
		}
	}
	return out
}
