package plan

import (
	"errors"
	"fmt"
	"strings"
)

// ErrNotAReference is wrapped by the refusal of a salt that cannot serve as a
// reference.
var ErrNotAReference = errors.New("cannot be a reference")

// refusal is a kind of kitchen salt that is told apart and refused.
type refusal struct {
	name   string
	words  []string // what people call it; compared without case, spaces and hyphens
	reason string
}

// Reasons are common knowledge of the trade; the figures for sea salt and the
// share of potassium chloride are common practice, no single source. That
// curing salt carries nitrite or nitrate: Codex Stan 150-1985, 3.3.
var refusals = []refusal{
	{
		name:  "sea salt",
		words: []string{"sea", "seasalt", "bay", "flower", "rock", "rocksalt", "pink", "unrefined"},
		reason: "unrefined salt keeps magnesium, calcium and sulfate and up to several percent of water, all of unknown amount, " +
			"so neither its strength nor its conductivity per gram is known",
	},
	{
		name:  "curing salt",
		words: []string{"curing", "curingsalt", "pickling", "nitrite", "nitritesalt"},
		reason: "it is mixed with sodium nitrite or nitrate, which conduct differently and are poisonous in small amounts; " +
			"keep it for meat, in its own labelled jar",
	},
	{
		name:   "low-sodium salt",
		words:  []string{"lowsodium", "lowsodiumsalt", "lite", "reducedsodium", "saltsubstitute", "diet"},
		reason: "part of it (often a third to two thirds) is potassium chloride or other salts, and the label does not tell how much is in this spoonful",
	},
}

// Refused returns nil unless the word names a kind of salt that cannot be a
// reference: sea salt, curing salt or low-sodium salt, under any of their
// usual names. The error gives the reason and wraps [ErrNotAReference].
func Refused(word string) error {
	key := strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(word))
	for _, r := range refusals {
		for _, w := range r.words {
			if key == w {
				return fmt.Errorf("%s %w: %s; use refined table salt (grade food) or reagent NaCl or KCl", r.name, ErrNotAReference, r.reason)
			}
		}
	}
	return nil
}
