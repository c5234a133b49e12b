package main

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	kitchenScale = " --scale-step 0.01g --u-scale 0.01g --scale-max 200g"
	kitchenSalt  = " --grade food --purity 99.5% --u-purity 0.3%"
	kitchenWater = " --water-ec 8uS/cm --u-water-ec 1uS/cm"
)

// Recipes as people see them.
func TestRecipeGolden(t *testing.T) {
	for name, line := range map[string]string{
		"three-bottles": "recipe --salt NaCl --target 300mg/L --target 600mg/L --target 900mg/L --batch 500mL" + kitchenSalt + kitchenScale + " --water-ec 8uS/cm",
		"direct":        "recipe --salt KCl --target 12.88mS/cm --batch 500g --grade reagent --water-ec 1uS/cm --u-water-ec 0.2uS/cm" + kitchenScale,
		"serial":        "recipe --salt NaCl --target 84uS/cm --target 1413uS/cm --batch 500mL --purity 99.9% --u-purity 0.05% --max-u 0.5% --bottle 250mL --bottle 500mL --water-ec 1uS/cm --u-water-ec 0.1uS/cm" + kitchenScale,
		"not-met":       "recipe --salt NaCl --target 600ppm@0.5 --batch 500mL --grade food" + kitchenWater,
		"jug":           "recipe --salt NaCl --target 600mg/L --batch 1L --route direct --jug 500mL --temp 18C" + kitchenSalt + kitchenScale + kitchenWater,
		"made":          "recipe made --salt NaCl --stock-salt-mass 5.02g --stock-water-mass 145.1g --stock-mass 4.53g --water-mass 160g --water-mass 160g --water-mass 175.1g" + kitchenSalt + kitchenWater,
		"made-later":    "recipe made --salt KCl --grade reagent --salt-mass 3.73g --water-mass 499.2g --made-mass 555.8g --now-mass 550.7g --empty-mass 52.8g --u-bottle-mass 0.5g --water-ec 1uS/cm --u-water-ec 0.2uS/cm --scale-step 0.01g --u-scale 0.01g",
	} {
		args := strings.Fields(line)
		r := invoke(args...)
		assert.Equal(t, statusDone, r.status, "%s: %s", name, r.stderr)
		golden(t, "recipe/"+name+".txt", screen(args, r))
	}
}

func TestRecipeJSONGolden(t *testing.T) {
	for name, line := range map[string]string{
		"three-bottles": "recipe --json --salt NaCl --target 300mg/L --target 600mg/L --target 900mg/L --batch 500mL" + kitchenSalt + kitchenScale + " --water-ec 8uS/cm",
		"made-later":    "recipe made --salt KCl --grade reagent --salt-mass 3.73g --water-mass 499.2g --made-mass 555.8g --now-mass 550.7g --empty-mass 52.8g --u-bottle-mass 0.5g --json",
	} {
		r := invoke(strings.Fields(line)...)
		assert.Equal(t, statusDone, r.status, name)
		assert.Empty(t, r.stderr, "with --json everything is in the object")
		golden(t, "recipe/"+name+".json", r.stdout)
	}
}

// recipeResult holds the keys that scripts may rely on.
type recipeResult struct {
	Salt    string `json:"salt"`
	Batches []struct {
		Target   string   `json:"target"`
		Route    string   `json:"route"`
		SaltMgL  *float64 `json:"salt_mg_L"`
		Molality *float64 `json:"molality_mol_kg"`
		SaltG    *float64 `json:"salt_g"`
		WaterG   *float64 `json:"water_g"`
		StockG   *float64 `json:"stock_g"`
		EC25     *float64 `json:"ec25_uS_cm"`
		UEC25    *float64 `json:"u_ec25_uS_cm"`
		Budget   []struct {
			Source string   `json:"source"`
			URel   *float64 `json:"u_rel"`
			Share  float64  `json:"share"`
		} `json:"budget"`
		WaterPortions int `json:"water_portions"`
		Direct        struct {
			URel float64 `json:"u_rel"`
		} `json:"direct"`
	} `json:"batches"`
	Stock *struct {
		SaltG   *float64 `json:"salt_g"`
		WaterG  *float64 `json:"water_g"`
		SaltMgG *float64 `json:"salt_mg_g"`
	} `json:"stock"`
	Steps    []string `json:"steps"`
	Warnings []string `json:"warnings"`
}

func recipeJSON(t *testing.T, line string) recipeResult {
	t.Helper()
	r := invoke(append([]string{"recipe", "--json"}, strings.Fields(line)...)...)
	require.Equal(t, statusDone, r.status, "%s: %s", line, r.stderr)
	var out recipeResult
	decoder := json.NewDecoder(strings.NewReader(r.stdout))
	require.NoError(t, decoder.Decode(&out), line)
	assert.False(t, decoder.More(), "one object")
	require.NotNil(t, out.Warnings, "an empty list, never null")
	return out
}

// The project's own promise: a pocket scale, salt of 99.5 % and water of
// 8 uS/cm give three bottles good to 1 %; weighed directly, several percent.
func TestRecipeThreeBottles(t *testing.T) {
	r := recipeJSON(t, "--salt NaCl --target 300mg/L --target 600mg/L --target 900mg/L --batch 500mL"+kitchenSalt+" --scale-step 0.01g --scale-max 200g --water-ec 8uS/cm")
	require.Len(t, r.Batches, 3)
	for i, b := range r.Batches {
		assert.Equal(t, "stock", b.Route)
		assert.Nil(t, b.SaltG)
		assert.InDelta(t, []float64{300, 600, 900}[i], *b.SaltMgL, 1e-6)
		assert.LessOrEqual(t, *b.UEC25 / *b.EC25, 0.01)
		shares, squares := 0.0, 0.0
		for _, line := range b.Budget {
			shares += line.Share
			squares += *line.URel * *line.URel
		}
		assert.InDelta(t, 1, shares, 1e-9)
		assert.InEpsilon(t, *b.UEC25 / *b.EC25 * *b.UEC25 / *b.EC25, squares, 1e-9)
		assert.Greater(t, b.Direct.URel, 0.02)
		assert.Greater(t, *b.StockG, 0.0)
	}
	require.NotNil(t, r.Stock)
	// What the stock holds times what is taken of it is the salt in 500 mL.
	for i, b := range r.Batches {
		assert.InEpsilon(t, []float64{150, 300, 450}[i], *b.StockG**r.Stock.SaltMgG*1.00105, 1e-3)
	}
	assert.Contains(t, strings.Join(r.Warnings, " "), "very pen in doubt")
}

// The direct route by hand: 3 g/L in 500 mL is 1.5 g of pure salt.
func TestRecipeDirect(t *testing.T) {
	r := recipeJSON(t, "--salt NaCl --target 3000mg/L --batch 500mL --route direct"+kitchenSalt+kitchenScale+kitchenWater)
	b := r.Batches[0]
	assert.Nil(t, r.Stock)
	assert.Nil(t, b.StockG)
	assert.InEpsilon(t, 1.5/0.995/1.000403, *b.SaltG, 1e-5) // buoyancy by OIML D 28
	assert.Equal(t, "salt mass", b.Budget[0].Source)
	// 200 g less a container of 40 g leaves 160 g for a portion.
	assert.Equal(t, 4, b.WaterPortions)
	assert.Greater(t, *b.WaterG, 3*160.0)
	// The reference command, a route of its own to the same solution, agrees.
	reference := referenceJSON(t, "--salt NaCl --strength 3000mg/L --temp 25C --water-ec 8uS/cm")
	assert.InEpsilon(t, reference["value"], *b.EC25, 1e-9)
}

// The command that the steps end with, typed as printed with the same bench,
// gives the bottle that was planned, to within the rounding of its masses.
func TestRecipeStepsNameACommandThatWorks(t *testing.T) {
	for _, line := range []string{
		"--salt NaCl --target 600mg/L --batch 500mL",
		"--salt NaCl --target 3000mg/L --batch 500mL --route direct",
		"--salt NaCl --target 84uS/cm --batch 500mL --max-u 0.5% --route stock",
		"--salt NaCl --target 3000mg/L --batch 500mL --route direct --jug 500mL",
	} {
		bench := " --purity 99.9% --u-purity 0.05%" + " --water-ec 1uS/cm --u-water-ec 0.1uS/cm --scale-step 0.01g --u-scale 0.01g --scale-max 200g --container 30g"
		r := recipeJSON(t, line+bench)
		command := regexp.MustCompile(`brinemark recipe made [^(]*`).FindString(strings.Join(r.Steps, "\n"))
		require.NotEmpty(t, command)
		made := invoke(append(strings.Fields(command+bench), "--json")[1:]...)
		require.Equal(t, statusDone, made.status, made.stderr)
		var out struct {
			EC25  float64 `json:"ec25_uS_cm"`
			UEC25 float64 `json:"u_ec25_uS_cm"`
		}
		require.NoError(t, json.Unmarshal([]byte(made.stdout), &out))
		b := r.Batches[0]
		assert.InDelta(t, *b.EC25, out.EC25, *b.UEC25, line)
		assert.InEpsilon(t, *b.UEC25, out.UEC25, 0.02, line)
	}
}

func TestRecipeFlagsThatAreNotGivenAreNoted(t *testing.T) {
	r := invoke(strings.Fields("recipe --salt NaCl --target 600mg/L --batch 500mL")...)
	require.Equal(t, statusDone, r.status)
	assert.Contains(t, r.stderr, "note: --scale-step, --u-scale, --scale-max, --container not given")
	assert.Contains(t, r.stderr, "warning: neither grade nor purity")
	assert.Contains(t, r.stderr, "warning: the water's own conductivity was not given")
}

// Bad input: one line on stderr that says what would be right, nothing on
// stdout, status 2.
func TestRecipeRefuses(t *testing.T) {
	const base = "recipe --salt NaCl --target 600mg/L --batch 500mL "
	for line, want := range map[string]string{
		"recipe":                                                             "--salt is missing",
		"recipe --salt NaCl --batch 500mL":                                   "--target is missing",
		"recipe --salt NaCl --target 600mg/L":                                "--batch is missing",
		"recipe --salt MgSO4 --target 600mg/L --batch 500mL":                 "want NaCl or KCl",
		"recipe --salt sea --target 600mg/L --batch 500mL":                   "magnesium, calcium and sulfate",
		"recipe --salt NaCl --target 600ppm --batch 500mL":                   "600ppm@0.5",
		"recipe --salt NaCl --target 7mol/kg --batch 500mL":                  "a saturated solution has",
		"recipe --salt KCl --target 5mol/L --batch 500mL":                    "a saturated solution has",
		"recipe --salt NaCl --target 2mol/kg --batch 500mL":                  "0.00005 to 1.1 mol/kg",
		"recipe --salt NaCl --target NaNmg/L --batch 500mL":                  "does not begin with a number",
		"recipe --salt NaCl --target Infmg/L --batch 500mL":                  "does not begin with a number",
		"recipe --salt NaCl --target 5uS/cm --batch 500mL --water-ec 8uS/cm": "the water's own 8 uS/cm",
		"recipe --salt NaCl --target 600mg/L --batch 0mL":                    "batch 0 mL",
		"recipe --salt NaCl --target 600mg/L --batch=-1L":                    "a volume is not negative",
		"recipe --salt NaCl --target 600mg/L --batch 500uS/cm":               "want a volume such as 500mL",
		base + "--grade sea":                                                 "sea salt cannot be a reference",
		base + "--grade curing":                                              "nitrite",
		base + "--grade low-sodium":                                          "potassium chloride",
		base + "--grade foot":                                                "nearest right word is food",
		base + "--purity 120%":                                               "50 to 100 %",
		base + "--purity 0%":                                                 "50 to 100 %",
		base + "--purity=-3%":                                                "not negative",
		base + "--u-purity 1%":                                               "without the purity",
		base + "--scale-step 0g":                                             "step 0 g",
		base + "--scale-max 1g":                                              "more than 50",
		base + "--scale-max 50g --container 60g":                             "leaves no room",
		base + "--max-u 0%":                                                  "0.01 to 50 %",
		base + "--max-u 5g":                                                  "want a fraction",
		base + "--route magic":                                               "want auto, direct, stock",
		base + "--bottle 100mL":                                              "does not fit",
		base + "--temp 68C":                                                  "Fahrenheit",
		base + "--u-volume 5mL":                                              "--u-volume and --u-marks need --jug",
		base + "--jug 0mL":                                                   "1 to 1000000 mL",
		base + "--salt KCl":                                                  "given twice",
		base + "extra":                                                       "unknown recipe command",
		"recipe made --salt-mass 1g --water-mass 500g":                       "needs --salt",
		"recipe made --salt NaCl --salt-mass=-1g --water-mass 500g":          "a mass is not negative",
		"recipe made --salt NaCl --water-mass 500g":                          "no salt was given",
		"recipe made --salt NaCl --salt-mass 1g":                             "no water was given",
		"recipe made --salt NaCl --salt-mass 1g --water-volume 500mL":        "without the jug",
		"recipe made --salt NaCl --stock-mass 1g --water-mass 500g":          "without the salt and water",
		"recipe made --salt NaCl --second-stock-mass 1g --second-water-mass 9g --water-mass 5g":     "need the first stock",
		"recipe made --salt NaCl --salt-mass 50g --water-mass 450g":                                 "conductivity of NaCl",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --now-mass 550g":                  "both --made-mass and --now-mass",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --made-mass 540g --now-mass 550g": "heavier by",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g --scale-max 200g":                 "500 g in one weighing is above the capacity",
		"recipe made --salt NaCl --salt-mass 1g --water-mass 500g left over":                        "unexpected argument",
	} {
		r := invoke(strings.Fields(line)...)
		assert.Equal(t, statusBadInput, r.status, line)
		assert.Empty(t, r.stdout, line)
		assert.Contains(t, r.stderr, want, line)
		assert.Equal(t, 1, strings.Count(strings.TrimSpace(r.stderr), "\n")+1, line)
	}
}

func TestBinaryRecipe(t *testing.T) {
	out, errText, status := brinemark(t, strings.Fields("recipe --json --salt KCl --target 1413uS/cm --batch 500mL")...)
	assert.Equal(t, 0, status)
	assert.Empty(t, errText)
	var r recipeResult
	require.NoError(t, json.Unmarshal([]byte(out), &r))
	assert.Equal(t, "KCl", r.Salt)
	assert.InDelta(t, 1413, *r.Batches[0].EC25, 1e-6)
	_, errText, status = brinemark(t, strings.Fields("recipe made --salt NaCl --salt-mass 1g")...)
	assert.Equal(t, 2, status)
	assert.Contains(t, errText, "no water was given")
}
