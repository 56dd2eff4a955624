package batch_test

import (
	"fmt"

	"setshade/internal/batch"
	"setshade/internal/wax"
)

// A melt for 24 invented hearts, split over two colours.
func ExamplePlan() {
	fill, _ := batch.Moulds(wax.Mould{Name: "Heart", Cavities: 6, CavityML: 50}, 4)
	sheet, err := batch.Plan(batch.Request{
		Wax: harrowSoy(), Shelf: shelf(), Fill: fill, LossPercent: 5,
		Load: wax.Load{Percent: 8, Per: wax.PerWax},
		Colours: []batch.Colour{
			{Name: "Dawn", Recipe: wax.Recipe{{Dye: "Bracken", DoseGPerKg: 2}}, Portions: 16},
			{Name: "Dusk", Recipe: wax.Recipe{{Dye: "Slate", DoseGPerKg: 1}}},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range sheet.Pots {
		m := p.Dyes[0]
		fmt.Printf("%s: %.1f g wax, %.1f g fragrance, %g %s of %s (%.3g g/kg asked, %.3g reached)\n",
			p.Name, p.UndyedG, p.FragranceG(), m.Count, m.Unit, m.Dye, m.AskedGPerKg, m.ReachedGPerKg)
	}
	fmt.Println("ready after", sheet.Ready)
	// Worked by hand for Dawn: 16 cavities of 50 ml and 5 % are 840 ml; a gram
	// of wax takes 1.002/0.9 + 0.08/1.0 ml, so 703.9 g.
	//
	// Output:
	// Dawn: 703.9 g wax, 56.3 g fragrance, 1.25 chip of Bracken (2 g/kg asked, 2.13 reached)
	// Dusk: 352.3 g wax, 28.2 g fragrance, 12 drop of Slate (1 g/kg asked, 1.02 reached)
	// ready after 51 h
}
