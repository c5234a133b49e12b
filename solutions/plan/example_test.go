package plan_test

import (
	"fmt"
	"log"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
)

// Two bottles from table salt whose label promises 99.5 %, with a pocket scale.
func Example() {
	figure := func(x float64) *float64 { return &x }
	jar, err := plan.NewJar(solutions.NaCl, plan.JarSpec{Purity: figure(0.995), UPurity: figure(0.003)})
	if err != nil {
		log.Fatal(err)
	}
	scale, err := plan.NewScale(plan.ScaleSpec{StepG: figure(0.01), CapacityG: figure(200)})
	if err != nil {
		log.Fatal(err)
	}
	water, err := plan.NewWater(plan.WaterSpec{EC25: figure(8), UEC25: figure(1)})
	if err != nil {
		log.Fatal(err)
	}
	request := plan.Request{Bench: plan.Bench{Jar: jar, Scale: scale, Water: water}, MaxU: 0.01, Route: plan.Auto}
	for _, text := range []string{"300mg/L", "900mg/L"} {
		target, err := quantity.Parse(text)
		if err != nil {
			log.Fatal(err)
		}
		request.Targets = append(request.Targets, target)
	}
	if request.Batch, err = quantity.Parse("500mL"); err != nil {
		log.Fatal(err)
	}
	recipe, err := plan.Make(request)
	if err != nil {
		log.Fatal(err)
	}
	for _, b := range recipe.Batches {
		fmt.Printf("%s: %s g of %s, %.0f uS/cm, u %.1f %%; weighed directly %.0f %%\n",
			b.Target.Text, scale.Format(b.StockG.Total), b.From, b.Worth.EC25.Nominal(), 100*b.RelU(), 100*b.Direct.RelU)
	}
	a, b := recipe.Batches[0].Worth.EC25, recipe.Batches[1].Worth.EC25
	fmt.Printf("they share the stock: correlation %.2f\n", uncert.Corr(a, b))
	// Output:
	// 300mg/L: 18.10 g of stock A, 627 uS/cm, u 0.9 %; weighed directly 6 %
	// 900mg/L: 54.31 g of stock A, 1807 uS/cm, u 0.8 %; weighed directly 2 %
	// they share the stock: correlation 0.99
}
