package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"reflect"
	"slices"
	"strings"
	"time"

	"setshade/internal/batch"
	"setshade/internal/plan"
	"setshade/internal/report"
	"setshade/internal/shade"
	"setshade/internal/spectrum"
	"setshade/internal/store"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// writeJSON writes a result as indented JSON with its own line end.
//
// The shapes are stable: fields may be added, and none is renamed or removed.
// A list is an object with one array in it, named for what it holds. Units
// stand in the names of fields. What is not recorded is null.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(shaped(reflect.ValueOf(v)))
}

// forms are the nouns that have one shape in JSON wherever they stand in a result.
var forms = map[reflect.Type]func(reflect.Value) any{
	reflect.TypeFor[wax.Wax]():        form(func(w wax.Wax) any { return w.Name }),
	reflect.TypeFor[wax.Recipe]():     form(func(r wax.Recipe) any { return doseJSON(r) }),
	reflect.TypeFor[wax.Load]():       form(func(l wax.Load) any { return loadJSON{l.Percent, l.Per} }),
	reflect.TypeFor[wax.Batch]():      form(func(b wax.Batch) any { return batchJSONOf(b) }),
	reflect.TypeFor[wax.Stock]():      form(func(s wax.Stock) any { return stockJSONOf(s) }),
	reflect.TypeFor[spectrum.Lab]():   form(func(c spectrum.Lab) any { return colourJSONOf(c) }),
	reflect.TypeFor[shade.Shade]():    form(func(s shade.Shade) any { return shadeJSONOf(s) }),
	reflect.TypeFor[batch.Figure]():   form(func(f batch.Figure) any { return figureJSONOf(f) }),
	reflect.TypeFor[batch.Cost]():     form(func(c batch.Cost) any { return costJSON{c, c.Total()} }),
	reflect.TypeFor[store.Foretold](): form(func(f store.Foretold) any { return foretoldJSON{colourJSONOf(f.Lab), f.Within95} }),
	reflect.TypeFor[workshop.Outcome](): form(func(o workshop.Outcome) any {
		return outcomeJSON{o.Swatch.ID, colourJSONOf(o.Swatch.Colour.Lab), o.MissDE00}
	}),
	reflect.TypeFor[workshop.StockUse](): form(func(u workshop.StockUse) any { return stockUseJSON{u.Stock.Number, u.Taken, u.UsedUp} }),
	reflect.TypeFor[[]plan.Amount]():     form(func(d []plan.Amount) any { return plan.FormatDose(d) }),
	reflect.TypeFor[spectrum.Measured](): form(func(m spectrum.Measured) any { return m.Lab }),
	reflect.TypeFor[workshop.ChartedDrop](): form(func(d workshop.ChartedDrop) any {
		return chartPointJSON{d.Swatch.ID, d.Swatch.Recipe, d.Standardised}
	}),
	reflect.TypeFor[time.Time](): form(func(t time.Time) any { return t.UTC() }),
}

func form[T any](of func(T) any) func(reflect.Value) any {
	return func(v reflect.Value) any { return of(v.Interface().(T)) }
}

// shaped is what JSON tells of a value: of a struct the fields with a json tag, those of
// embedded ones and of fields tagged ",inline" with them, where the outer goes before the
// inner; nouns in their forms; lists that are never null; and null for a 0 tagged
// zero:"null", which stands for a figure that nobody gave.
func shaped(v reflect.Value) any {
	if !v.IsValid() {
		return nil
	}
	if of := forms[v.Type()]; of != nil {
		told := reflect.ValueOf(of(v))
		if told.Type() == v.Type() {
			return told.Interface()
		}
		return shaped(told)
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return nil
		}
		return shaped(v.Elem())
	case reflect.Map:
		told := map[string]any{}
		for _, key := range v.MapKeys() {
			told[key.String()] = shaped(v.MapIndex(key))
		}
		return told
	case reflect.Slice:
		list := make([]any, v.Len())
		for i := range list {
			list[i] = shaped(v.Index(i))
		}
		return list
	case reflect.Struct:
		told := object{}
		told.fill(v)
		return told
	}
	return v.Interface()
}

// object is fields in their order.
type object []field

type field struct {
	name  string
	value any
}

// fill adds the fields of a struct that are not there yet.
func (o *object) fill(v reflect.Value) {
	var inner []reflect.Value
	for i := range v.NumField() {
		f := v.Type().Field(i)
		name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case option == "inline" || f.Anonymous && name == "":
			inner = append(inner, v.Field(i))
		case name == "" || name == "-" || slices.ContainsFunc(*o, func(there field) bool { return there.name == name }):
		case f.Tag.Get("zero") == "null" && v.Field(i).IsZero():
			*o = append(*o, field{name, nil})
		default:
			*o = append(*o, field{name, shaped(v.Field(i))})
		}
	}
	for _, v := range inner {
		o.fill(v)
	}
}

// MarshalJSON keeps the order of the fields.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	for i, f := range o {
		b.WriteByte("{,"[min(i, 1)])
		if err := e.Encode(f.name); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := e.Encode(f.value); err != nil {
			return nil, err
		}
	}
	if len(o) == 0 {
		b.WriteByte('{')
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// colourJSON is the shape of a colour in JSON: under D65, seen by the CIE 1931
// observer; hex and word are for showing.
type colourJSON struct {
	Lab  numbers `json:"lab"`
	Hex  string  `json:"hex"`
	Word string  `json:"word"`
}

// numbers are L*, a* and b* alone.
type numbers spectrum.Lab

func colourJSONOf(c spectrum.Lab) colourJSON {
	return colourJSON{numbers(c), c.Hex(), report.ColourWord(c)}
}

// partJSON is the shape of one dye of a dose in JSON; undyed wax is [].
type partJSON struct {
	Dye    string  `json:"dye"`
	GPerKg float64 `json:"g_per_kg"`
}

func doseJSON(r wax.Recipe) []partJSON {
	parts := make([]partJSON, len(r))
	for i, p := range r {
		parts[i] = partJSON{p.Dye, p.DoseGPerKg}
	}
	return parts
}

// shadeJSON is the shape of a shade in JSON.
type shadeJSON struct {
	colourJSON
	// Within95 is the dE00 that the wax lies within, 95 times in 100, and Range95
	// the interval of each coordinate alone.
	Within95 float64 `json:"within_95_de00" means:"it lies within this 95 times in 100"`
	Range95  struct {
		L [2]float64 `json:"L"`
		A [2]float64 `json:"a"`
		B [2]float64 `json:"b"`
	} `json:"range_95"`
	Covariance [3][3]float64 `json:"covariance"`
	Lights     []lightJSON   `json:"lights"`
	Untested   []string      `json:"untested"`
}

// lightJSON is the shape of a look under a light in JSON; light is D65, A or
// LED-B3.
type lightJSON struct {
	Light string `json:"light"`
	colourJSON
	ShiftDE00 float64 `json:"shift_de00"`
}

func shadeJSONOf(s shade.Shade) shadeJSON {
	j := shadeJSON{colourJSON: colourJSONOf(s.Lab), Within95: s.Within95, Covariance: s.Cov, Untested: s.Untested}
	for i, ends := range []*[2]float64{&j.Range95.L, &j.Range95.A, &j.Range95.B} {
		ends[0], ends[1] = s.Range95(i)
	}
	for _, l := range s.Lights {
		j.Lights = append(j.Lights, lightJSON{l.Light.String(), colourJSONOf(l.Lab), l.ShiftDE00})
	}
	return j
}

// batchPlanJSON is the shape of the plan of a batch in JSON.
type batchPlanJSON struct {
	workshop.BatchPlan
	Additives []additiveJSON `json:"additives"`
	Pots      []potJSON      `json:"pots"`
}

// potJSON is the shape of one colour of a batch in JSON. Shades and rounding are
// null where nothing was learned.
type potJSON struct {
	batch.Pot
	ShadeAsked   *shade.Shade `json:"shade_asked"`
	ShadeReached *shade.Shade `json:"shade_reached"`
	RoundingDE00 *float64     `json:"rounding_de00"`
}

// costJSON is the shape of a cost in JSON; per_piece is null for scoops, selling
// where no markup was asked.
type costJSON struct {
	batch.Cost
	Total float64 `json:"total"`
}

// batchJSON is the shape of a batch in JSON.
type batchJSON struct {
	UndyedG    float64    `json:"undyed_g"`
	DyeG       float64    `json:"dye_g"`
	FragranceG float64    `json:"fragrance_g"`
	AdditivesG float64    `json:"additives_g"`
	TotalG     float64    `json:"total_g"`
	Dose       wax.Recipe `json:"dose"`
	Load       wax.Load   `json:"load"`
}

func batchJSONOf(b wax.Batch) batchJSON {
	return batchJSON{b.UndyedG, b.DyeG(), b.FragranceG(), b.AdditivesG(), b.TotalG(), b.Recipe, b.Load}
}

func batchPlanJSONOf(p workshop.BatchPlan) batchPlanJSON {
	s := p.Sheet
	j := batchPlanJSON{BatchPlan: p, Additives: additivesJSON(wax.Batch{UndyedG: s.UndyedG, Additives: s.Additives})}
	for i, pot := range s.Pots {
		told := potJSON{Pot: pot}
		if of := &p.Shades[i]; of.Known {
			told.ShadeAsked, told.ShadeReached, told.RoundingDE00 = &of.Asked, &of.Reached, &of.RoundingDE00
		}
		j.Pots = append(j.Pots, told)
	}
	return j
}

// figureJSON is the shape of a temperature or time in JSON; value is null where
// none is recorded.
type figureJSON struct {
	Value *float64 `json:"value"`
	Unit  string   `json:"unit"`
}

func figureJSONOf(f batch.Figure) *figureJSON {
	switch {
	case f.Unit == "":
		return nil
	case !f.Known:
		return &figureJSON{Unit: f.Unit}
	}
	return &figureJSON{&f.Value, f.Unit}
}
