// Package spelling finds the word a person most likely meant.
//
// A misspelt command, flag, unit, salt or column name is refused everywhere in
// this project, and the refusal names the nearest right word. This package
// holds that one rule, so that a unit and a command are compared alike:
//
//	distance = number of single-letter insertions, deletions, replacements
//	           and swaps of neighbours, with letter case ignored
//
// A candidate is offered only when the distance is at most one third of the
// longer word (at least one edit, so that "sn" still finds "uS"), or when one
// of the words begins with the other. Nothing is ever corrected silently: the
// caller gets a suggestion to print, not a replacement to use.
package spelling

import (
	"strings"
	"unicode/utf8"
)

// Nearest returns the candidate closest to word and true, or "" and false
// where none is close enough to be a likely slip. Among equally close
// candidates the first in the list wins, so a caller puts its favourites first.
func Nearest(word string, candidates []string) (string, bool) {
	best, bestDistance := "", 0
	folded := strings.ToLower(word)
	if folded == "" || utf8.RuneCountInString(folded) > maxRunes {
		return "", false
	}
	for _, candidate := range candidates {
		c := strings.ToLower(candidate)
		d := distance(folded, c)
		if !near(folded, c, d) {
			continue
		}
		if best == "" || d < bestDistance {
			best, bestDistance = candidate, d
		}
	}
	return best, best != ""
}

// maxRunes keeps the quadratic comparison short: no right word is that long.
const maxRunes = 64

// near says whether two folded words at distance d are a likely slip.
func near(word, candidate string, d int) bool {
	longer := max(utf8.RuneCountInString(word), utf8.RuneCountInString(candidate))
	if d <= max(1, longer/3) && d < longer {
		return true
	}
	return len(word) >= 3 && (strings.HasPrefix(candidate, word) ||
		len(candidate) >= 3 && strings.HasPrefix(word, candidate))
}

// distance is the optimal string alignment distance: edits and swaps of
// neighbours, no letter edited twice.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	var before []int
	previous := make([]int, len(t)+1)
	for j := range previous {
		previous[j] = j
	}
	for i := 1; i <= len(s); i++ {
		current := make([]int, len(t)+1)
		current[0] = i
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			current[j] = min(previous[j]+1, current[j-1]+1, previous[j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				current[j] = min(current[j], before[j-2]+1)
			}
		}
		before, previous = previous, current
	}
	return previous[len(t)]
}
