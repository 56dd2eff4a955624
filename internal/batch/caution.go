package batch

import (
	"fmt"

	"setshade/internal/wax"
)

// The cautions of the bench, each attached to the steps it belongs to.
const (
	HotWax      = "Hot wax burns and catches fire: never leave it, and never put water on a wax fire."
	FlashPoint  = "Stay under the fragrance's flash point and the supplier's maximum load; read its safety sheet."
	SkinAndPets = "Dye and undiluted fragrance irritate the skin, and some scents harm pets: wear gloves, air the room, keep pets out."
	WickStays   = "No mica and no botanicals in a candle with a wick: mica clogs the wick, and botanicals catch fire."
)

func dyeCautions(pots []Pot) []string {
	out := []string{SkinAndPets}
	for _, p := range pots {
		for _, m := range p.Dyes {
			for _, remark := range m.Remarks {
				out = append(out, title(p.Name, m.Dye)+": "+remark+".")
			}
		}
	}
	return out
}

// title names a dye, with its pot where that has a name.
func title(pot, dye string) string {
	if pot == "" {
		return dye
	}
	return dye + " in " + pot
}

func fragranceCautions(r Request) []string {
	out := []string{FlashPoint}
	if r.Fragrance.FlashPointC == 0 {
		out = append(out, "The fragrance's flash point is not recorded; it stands on its safety sheet.")
	}
	return append(append(out, aboveFlashPoint(r)...), SkinAndPets)
}

// aboveFlashPoint names the temperatures of the wax's record at which its
// fragrance could catch fire: from when it is added on.
func aboveFlashPoint(r Request) (out []string) {
	flash, b := r.Fragrance.FlashPointC, r.Wax.Bench
	if flash == 0 {
		return nil
	}
	for _, step := range []struct {
		does string
		atC  float64
	}{{"adds fragrance", b.AddFragranceAtC}, {"pours", b.PourAtC}} {
		if step.atC >= flash {
			out = append(out, fmt.Sprintf("The fragrance's flash point is %g °C and the wax's record %s at %g °C: ask the supplier before you do.", flash, step.does, step.atC))
		}
	}
	if b.AddFragranceAtC == 0 && b.HeatToC >= flash {
		out = append(out, fmt.Sprintf("The fragrance's flash point is %g °C and the wax is heated to %g °C: let it cool below the flash point first, and ask the supplier when to add fragrance.", flash, b.HeatToC))
	}
	return out
}

func pourCautions(r Request, pots []Pot) []string {
	out := []string{HotWax}
	if r.Wicked || hasMica(pots) {
		out = append(out, WickStays)
	}
	return out
}

func hasMica(pots []Pot) bool {
	for _, p := range pots {
		for _, m := range p.Dyes {
			if m.Form == wax.Mica {
				return true
			}
		}
	}
	return false
}
