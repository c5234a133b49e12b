package cause

import (
	"math"
	"math/rand/v2"
)

// draws is how many imagined outcomes a measurement is judged by. The error of
// the information is then about two hundredths of a bit, and the same outcomes
// are drawn for every measurement.
const draws = 300

// byLabel adds up weights by label and returns them with each prediction's
// place among them.
func byLabel(list []prediction) (weights []float64, place []int) {
	at := map[label]int{}
	for _, q := range list {
		k, seen := at[q.label]
		if !seen {
			k = len(weights)
			at[q.label] = k
			weights = append(weights, 0)
		}
		weights[k] += q.weight
		place = append(place, k)
	}
	return weights, place
}

// entropyOf is the doubt in weights that need not add up to 1, in bits.
func entropyOf(weights []float64) float64 {
	sum, h := 0.0, 0.0
	for _, w := range weights {
		sum += w
	}
	for _, w := range weights {
		if w > 0 && sum > 0 {
			h -= w / sum * math.Log2(w/sum)
		}
	}
	return h
}

// entropy is how much doubt there is about the label, in bits.
func entropy(list []prediction) float64 {
	weights, _ := byLabel(list)
	return entropyOf(weights)
}

// information is how much of that doubt the shots are expected to remove, in
// bits: the mutual information of label and readings (D.V. Lindley, Ann. Math.
// Stat. 27 (1956) 986),
//
//	I = H(label) − E H(label | y)
//
// over readings y drawn from the predictions.
func information(list []prediction) float64 {
	if len(list) == 0 {
		return 0
	}
	before, place := byLabel(list)
	n, total := len(list[0].mean), 0.0
	for _, q := range list {
		total += q.weight
	}
	rng := rand.New(rand.NewPCG(1956, 986))
	y, z, work := make([]float64, n), make([]float64, n), make([]float64, n)
	logs, after := make([]float64, len(list)), make([]float64, len(before))
	left, from, passed := 0.0, 0, list[0].weight
	for i := range draws {
		// Every prediction is drawn in proportion to its weight.
		for at := (float64(i) + 0.5) / draws * total; passed < at && from < len(list)-1; {
			from++
			passed += list[from].weight
		}
		for j := range z {
			z[j] = rng.NormFloat64()
		}
		list[from].draw(y, z)
		for k := range list {
			logs[k] = math.Log(list[k].weight) + list[k].logDensity(y, work)
		}
		sum := logSum(logs)
		clear(after)
		for k := range list {
			after[place[k]] += math.Exp(logs[k] - sum)
		}
		left += entropyOf(after)
	}
	if bits := entropyOf(before) - left/draws; bits > 0 && !math.IsInf(bits, 1) {
		return bits
	}
	return 0 // chance, or numbers beyond what the machine can square
}
