package plan

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/solutions"
)

// ErrNotAReference is wrapped by the refusal of a salt that cannot serve as a
// reference.
var ErrNotAReference = errors.New("cannot be a reference")

// refusal is a kind of kitchen salt that is told apart and refused.
type refusal struct {
	name   string
	words  []string // what people call it, see key
	reason string
}

// Reasons are common knowledge of the trade; the figures for sea salt and the
// share of potassium chloride are common practice, no single source. That
// curing salt carries nitrite or nitrate: Codex Stan 150-1985, 3.3.
var refusals = []refusal{
	{
		name: "sea salt",
		words: []string{"sea", "bay", "flower", "rock", "unrefined", "raw", "pink", "himalaya", "himalayan", "pinkhimalayan", "himalayanpink", "himalayanrock",
			"blacksalt", "grey", "gray", "celtic", "fleurdesel", "halite"},
		reason: "unrefined salt keeps magnesium, calcium and sulfate and up to several percent of water, all of unknown amount, " +
			"so neither its strength nor its conductivity per gram is known",
	},
	{
		name:  "curing salt",
		words: []string{"curing", "cure", "pinkcuring", "pinkcure", "prague", "praguepowder", "praguepowder1", "praguepowder2", "praguepowder#1", "praguepowder#2", "nitrite", "nitrate", "saltpetre", "saltpeter"},
		reason: "it is mixed with sodium nitrite or nitrate, which conduct differently and are poisonous in small amounts; " +
			"keep it for meat, in its own labelled jar",
	},
	{
		name:   "low-sodium salt",
		words:  []string{"lowsodium", "low", "losodium", "lite", "light", "reducedsodium", "saltsubstitute", "substitute", "diet", "potassium"},
		reason: "part of it (often a third to two thirds) is potassium chloride or other salts, and the label does not tell how much is in this spoonful",
	},
	{
		name:   "household salt that is not for eating",
		words:  []string{"watersoftener", "softener", "dishwasher", "pool", "road", "deicing"},
		reason: "nobody promises its purity, and it may carry additives or dirt",
	},
	{
		name:   "Epsom salt",
		words:  []string{"epsom"},
		reason: "it is magnesium sulfate, which the conductivity model does not cover",
	},
}

// ordinary are the usual names of refined kitchen salt, which is NaCl of grade
// food. Kosher and pickling salt are NaCl of coarse or pure grain; where the label
// names additives, they count as impurity like any.
var ordinary = []string{"table", "iodised", "iodized", "kitchen", "cooking", "common", "fine", "refined", "household", "kosher", "pickling", "canning", "foodgrade"}

// key is a name without case, blanks and hyphens, and without the word salt at
// its end.
func key(word string) string {
	k := strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(word))
	if short := strings.TrimSuffix(k, "salt"); short != "" && short != "black" {
		return short
	}
	return k
}

// Refused returns nil unless the word names a kind of salt that cannot be a
// reference: sea salt, curing salt or low-sodium salt, under any of their
// usual names. The error gives the reason and wraps [ErrNotAReference].
func Refused(word string) error {
	k := key(word)
	for _, r := range refusals {
		if slices.Contains(r.words, k) {
			return fmt.Errorf("%s %w: %s; use refined table salt (grade food) or reagent NaCl or KCl", r.name, ErrNotAReference, r.reason)
		}
	}
	return nil
}

// OrdinarySalt tells whether the word is a usual name of refined kitchen salt:
// NaCl of grade food.
func OrdinarySalt(word string) bool { return slices.Contains(ordinary, key(word)) }

// SaltByName is [solutions.SaltByFormula] for what people type: kitchen salts
// that are no reference are refused with the reason, and the names of refined
// salt say what to type instead.
func SaltByName(word string) (solutions.Salt, error) {
	if err := Refused(word); err != nil {
		return solutions.Salt{}, err
	}
	if OrdinarySalt(word) {
		return solutions.Salt{}, fmt.Errorf("%q is NaCl of grade food: say --salt NaCl --grade food", word)
	}
	return solutions.SaltByFormula(word)
}
