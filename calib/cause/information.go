package cause

import (
	"math"
	"math/rand/v2"
)

// draws is how many imagined outcomes a measurement is judged by. The error of
// the information is then a few hundredths of a bit, and the same outcomes are
// drawn for every measurement.
const draws = 300

// entropy is how much doubt there is about the label, in bits.
func entropy(list []prediction) float64 {
	byLabel, sum := map[label]float64{}, 0.0
	for _, q := range list {
		byLabel[q.label] += q.weight
		sum += q.weight
	}
	h := 0.0
	for _, w := range byLabel {
		if w > 0 {
			h -= w / sum * math.Log2(w/sum)
		}
	}
	return h
}

// information is how much of that doubt the shots are expected to remove, in
// bits: the mutual information of label and readings,
//
//	I = E log2[ p(y | label) / p(y) ]
//
// over readings y drawn from the predictions (D.V. Lindley, Ann. Math. Stat. 27
// (1956) 986).
func information(list []prediction) float64 {
	if len(list) == 0 {
		return 0
	}
	n := len(list[0].mean)
	total := 0.0
	for _, q := range list {
		total += q.weight
	}
	rng := rand.New(rand.NewPCG(1956, 986))
	y, z, work := make([]float64, n), make([]float64, n), make([]float64, n)
	logs, same := make([]float64, len(list)), make([]float64, 0, len(list))
	sum, from := 0.0, 0
	passed := list[0].weight
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
		same = same[:0]
		labelled := 0.0
		for k := range list {
			logs[k] = math.Log(list[k].weight/total) + list[k].logDensity(y, work)
			if list[k].label == list[from].label {
				same = append(same, logs[k])
				labelled += list[k].weight
			}
		}
		sum += logSum(same) - math.Log(labelled/total) - logSum(logs)
	}
	return max(0, sum/draws/math.Ln2)
}
