package measure_test

import (
	"fmt"

	"pilewright/plan/measure"
)

func ExampleEval() {
	sizes := map[string]measure.Value{
		"length":   measure.LengthValue(48 * measure.Inch),
		"overhang": measure.LengthValue(1*measure.Inch + measure.Inch/2),
	}
	v, err := measure.Eval(`length - 2*overhang`, measure.Inches, func(name string) (measure.Value, bool) {
		v, ok := sizes[name]
		return v, ok
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := v.Length()
	fmt.Println(measure.Format(l, measure.Style{Denominator: 16}), err)
	// Output: 45" <nil>
}

func ExampleParse() {
	for _, text := range []string{`1' 11 1/2"`, `59.7cm`, `23 1/128`} {
		l, err := measure.Parse(text, measure.Inches)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(measure.Exact(l), "or", measure.Format(l, measure.Style{Unit: measure.Millimetres}))
	}
	// Output:
	// 23 1/2" or 596.9 mm
	// 597 mm or 597 mm
	// at character 1 of “23 1/128”: this size is not exact; the nearest are 23" and 23 1/64"
}

func ExampleResolve() {
	_, err := measure.Resolve([]measure.Definition{
		{Name: "height", Text: "leg + 3/4"},
		{Name: "leg", Text: "height - 3/4"},
	}, measure.Inches)
	fmt.Println(err)
	// Output: measure height: the measures go round in a circle: height -> leg -> height
}
