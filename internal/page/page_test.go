package page

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"html"
	"io"
	"math"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/chart"
	"setshade/internal/photo"
	"setshade/internal/report"
	"setshade/internal/rescue"
	"setshade/internal/wax"
	"setshade/internal/workshop"
)

// Every page answers, with its headers, on an empty shelf of drops and on a
// learned one.
func TestEveryPageAnswersWithItsHeaders(t *testing.T) {
	for name, s := range map[string]*site{"before learning": newSite(t, nil), "learned": newLearnedSite(t)} {
		for path, want := range map[string]int{
			"/": 200, "/more": 200, "/shelf": 200, "/record": 200, "/learn": 200, "/predict": 200, "/match": 200, "/rescue": 200, "/next": 200,
			"/batch": 200, "/log": 200, "/stock": 200, "/card": 200, "/reread": 200, "/store": 200,
			"/card/test-card.pdf?paper=A4&print=2": 200, "/card/test-card.pdf": 422, "/reread/AAAA": 404, "/reread/AAAA/progress": 404,
			"/photograph/AAAA": 404, "/photograph/%2e%2e": 404, "/store/AAAA": 404, "/store/backup": 404, "/store/AAAA/copy.zip": 404, "/store/AAAA/progress": 404, "/store/%2e%2e/copy.zip": 404,
			"/report/dye/report.html?dye=Bracken": 200, "/report/shelf/report.html": 200, "/report/dye/report.html": 404, "/report/dye/report.exe?dye=Bracken": 404,
			"/report/batch/report.html?batch=1": 404, "/report/batch/report.pdf?batch=x": 422, "/report/dye/%2e%2e": 404,
			"/enter": 303, "/static/page.css": 200, "/static/page.js": 200, "/static/mark.svg": 200,
			"/nowhere": 404, "/record/AAAA": 404, "/record/AAAA/overlay.jpg": 404, "/learn/AAAA": 404, "/learn/AAAA/progress": 404,
			"/static/%2e%2e/server.go": 404, "/static/server.go": 404,
		} {
			r := s.get(path)
			assert.Equal(t, want, r.StatusCode, "%s: %s", name, path)
			policy := r.Header.Get("Content-Security-Policy")
			assert.Contains(t, policy, "default-src 'none'", path)
			assert.NotContains(t, policy, "unsafe", path)
			assert.Equal(t, "nosniff", r.Header.Get("X-Content-Type-Options"), path)
			// No inline script, style or handler: the policy would forbid it.
			if strings.HasPrefix(policy, reportPolicy) {
				continue // a report's style stands in itself, named by its digest
			}
			body := strings.ReplaceAll(r.body, `xmlns="http://www.w3.org/2000/svg"`, "")
			assert.NotRegexp(t, regexp.MustCompile(`(?i)<style|\sstyle=|\son[a-z]+=|<script(?: defer)?>|https?://`), body, "%s: %s", name, path)
		}
	}
}

// A photograph that the store has lost is put back as soon as it is sent, with no dose
// to say; sent again, it is looked at like any other.
func TestPhotographIsPutBack(t *testing.T) {
	s, ctx := newLearnedSite(t), context.Background()
	of, err := s.workshop.Store.Swatch(ctx, 1)
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(filepath.Dir(s.workshop.Store.Path()), "photos", "bench.db", of.Photo.SHA256)))
	send := func() reply {
		return s.upload("found.jpg", bytes.NewReader(shipped(t, "bracken-set.jpg")), map[string]string{"wax": "Harrow Soy", "state": "set"})
	}
	r := send()
	require.Equal(t, 303, r.StatusCode, r.body)
	assert.Contains(t, s.get(r.Header.Get("Location")).body, `<p role="status">Put back bracken-set.jpg, the photograph of swatches 1 to 8 of `)
	found, err := s.workshop.CheckStore(ctx)
	require.NoError(t, err)
	assert.Empty(t, found.Problems)
	assert.Equal(t, 303, send().StatusCode)
}

// What a page says is what the workshop said: there is no second logic.
func TestPagesSayWhatTheWorkshopSays(t *testing.T) {
	s, ctx := newLearnedSite(t), context.Background()

	f, err := s.workshop.Predict(ctx, "", "Bracken 1 g/kg + Foxglove 0.2 g/kg")
	require.NoError(t, err)
	r := s.get("/predict?" + url.Values{"dose Bracken": {"1"}, "dose Foxglove": {"0.2"}, "part": {"1"}}.Encode())
	require.Equal(t, 200, r.StatusCode)
	assert.NotContains(t, r.body, "<html", "a part is sent alone")
	assert.Contains(t, r.body, f.Piece.Lab.Hex()+"</code> "+report.ColourWord(f.Piece.Lab))
	assert.Contains(t, r.body, "within "+report.DE00(f.Piece.Within95)+" dE00")

	remedy, _, err := s.workshop.Rescue(ctx, workshop.Trouble{UndyedG: 900, Load: wax.Load{Per: wax.PerWax}, Dose: "Bracken 6 chips/kg", LighterPercent: 40, Means: workshop.Means{PotG: 1000, ToleranceDE00: 2}})
	require.NoError(t, err)
	r = s.get("/rescue?" + url.Values{"wax-mass": {"0.9 kg"}, "known": {"dose"}, "dose": {"Bracken 6 chips/kg"}, "become": {"lighter"}, "lighter": {"40"}, "pot": {"1 kg"}, "tolerance": {"2"}}.Encode())
	require.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.body, "set aside "+report.Grams(remedy.SetAside.TotalG())+", then add "+report.ToAdd(remedy)+"</h3>")
	assert.Contains(t, report.ToAdd(remedy), "of undyed wax")
	assert.Contains(t, r.body, remedy.Reached.Lab.Hex())

	m, err := s.workshop.Match(ctx, workshop.Wish{Colour: "#c98d84", UndyedG: 1000, MaxDyes: 2, ToleranceDE00: 2, Answers: 4})
	require.NoError(t, err)
	r = s.get("/match?" + url.Values{"colour": {"#c98d84"}, "wax-mass": {"1 kg"}, "dyes": {"2"}, "tolerance": {"2"}}.Encode())
	require.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.body, m.Answers[0].Shade.Lab.Hex())

	r = s.get("/match?" + url.Values{"colour-swatch": {"3"}, "colour": {"#ffffff"}, "wax-mass": {"1 kg"}, "dyes": {"1"}, "tolerance": {"2"}, "never": {"Foxglove"}}.Encode())
	require.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.body, `<option value="3" selected>`)
	assert.Contains(t, r.body, "a set drop on its card", "a swatch goes before a colour that was written")

	n, err := s.workshop.Next(ctx, "", nil)
	require.NoError(t, err)
	r = s.get("/next?for=")
	assert.Contains(t, r.body, fmt.Sprintf("%.2f dE00", n.Drops[0].FallDE00))
}

// carried is the rescue that a page carries to its next step.
func carried(t *testing.T, page string) string {
	t.Helper()
	found := regexp.MustCompile(`name="course" value="([^"]*)"`).FindStringSubmatch(page)
	require.NotNil(t, found, "the page carries no rescue")
	return html.UnescapeString(found[1])
}

// A batch too pale is told its dyes, and the rescue goes on from a drop as the
// workshop goes on with it.
func TestARescueGoesOnFromADrop(t *testing.T) {
	s, ctx := newLearnedSite(t), context.Background()
	plenty := 500.0
	trouble := workshop.Trouble{
		UndyedG: 800, Load: wax.Load{Percent: 8, Per: wax.PerWax}, Additives: []wax.Additive{{Name: "Stearin", Percent: 3}}, Dose: "Bracken 1 g/kg",
		Target: "swatch 6", Means: workshop.Means{UndyedG: &plenty, PotG: 2000, MouldsG: 1500, ToleranceDE00: 2, Prefer: "waste", With: []string{"Bracken"}},
	}
	remedy, course, err := s.workshop.Rescue(ctx, trouble)
	require.NoError(t, err)
	require.NotEmpty(t, remedy.Dyes, "a pale batch needs dye")
	r := s.get("/rescue?" + url.Values{
		"wax-mass": {"800 g"}, "load": {"8"}, "per": {"wax"}, "additives": {"Stearin 3%"}, "dose": {"Bracken 1 g/kg"}, "dye": {"Foxglove"},
		"become": {"colour"}, "target-swatch": {"6"}, "use": {"these"}, "with": {"Bracken"}, "undyed": {"0.5 kg"}, "pot": {"2 kg"}, "moulds": {"1.5 kg"},
		"prefer": {"waste"}, "tolerance": {"2"},
	}.Encode())
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, "add "+report.ToAdd(remedy)+"</h3>")
	assert.Contains(t, report.ToAdd(remedy), " of Bracken", "the headline names the dye")
	assert.Contains(t, r.body, "Measure out "+report.DyesText(remedy.Dyes))
	assert.Contains(t, r.body, `href="/record?plan=`)

	remedy, _, err = s.workshop.ContinueRescue(ctx, course, []string{"undyed 20 g", "Bracken 1 chip"}, "swatch 4", workshop.BelieveDrop)
	require.NoError(t, err)
	next := url.Values{"course": {carried(t, r.body)}, "next-swatch": {"4"}, "added": {"undyed 20 g; Bracken 1 chip"}, "believe": {"drop"}}
	r = s.post("/rescue/continue", next)
	require.Equal(t, 303, r.StatusCode, r.body)
	assert.Equal(t, "/rescue?kept=1#answer", r.Header.Get("Location"))
	r = s.get("/rescue?kept=1")
	assert.Contains(t, r.body, "add "+report.ToAdd(remedy)+"</h3>")
	assert.Contains(t, r.body, "after 1 drop;")
	assert.NotContains(t, r.body, "1. What is in the pot?", "what was answered is not asked again")
	assert.Contains(t, r.body, "This is rescue 1.")

	// It is in the store, and found again; a step that cannot be read leaves it as it was.
	r = s.get("/rescue")
	assert.Contains(t, r.body, `href="/rescue?kept=1#answer"`)
	told := s.get("/rescue?kept=1")
	assert.Contains(t, told.body, "add "+report.ToAdd(remedy)+"</h3>")
	r = s.post("/rescue/continue", url.Values{"number": {"1"}, "next": {"swatch 999"}})
	assert.Equal(t, 404, r.StatusCode)
	r = s.post("/rescue/continue", url.Values{"number": {"1"}})
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "say the colour of a drop")
	assert.Equal(t, withoutKeys(told.body), withoutKeys(s.get("/rescue?kept=1").body))

	// Its step is taken back, and there is none before it.
	r = s.post("/rescue/1/back", nil)
	require.Equal(t, 303, r.StatusCode, r.body)
	assert.NotContains(t, s.get("/rescue?kept=1").body, "after 1 drop;")
	assert.Equal(t, 422, s.post("/rescue/1/back", nil).StatusCode)
}

// withoutKeys is a page without the keys of its forms, which are new each time.
func withoutKeys(page string) string {
	return regexp.MustCompile(`once=\w+`).ReplaceAllString(page, "")
}

// A rescue that was made up outside the page is refused and does no harm.
func TestHostileRescuesAreRefused(t *testing.T) {
	s := newLearnedSite(t)
	r := s.get("/rescue?wax-mass=800&dose=Bracken+6+g/kg&become=lighter&lighter=40&tolerance=2")
	good := carried(t, r.body)
	for name, course := range map[string]string{
		"nothing": "", "no JSON": "<script>x</script>", "a path": "/etc/passwd", "cut off": good[:len(good)/2],
		"an unknown field": strings.Replace(good, `"version"`, `"file":"x","version"`, 1),
		"another version":  strings.Replace(good, `"version":1`, `"version":99`, 1),
		"a negative mass":  strings.Replace(good, `"UndyedG":800`, `"UndyedG":-800`, 1),
		"an unknown dye":   strings.Replace(good, `"dye":"Bracken"`, `"dye":"Gorse"`, 1),
		"an unknown wax":   strings.Replace(good, `"wax":"Harrow Soy"`, `"wax":"Gorse Wax"`, 1),
		"a huge step":      strings.Replace(good, `"taken_out_g":0`, `"taken_out_g":9e6`, 1),
		"too long":         strings.Replace(good, `"wax":"`, `"wax":"`+strings.Repeat("x", maxCourseBytes), 1),
		"many events":      strings.Replace(good, `"events":null`, `"events":[`+strings.TrimSuffix(strings.Repeat(`{},`, 5000), ",")+`]`, 1),
	} {
		require.NotEqual(t, good, course, name)
		r := s.post("/rescue/continue", url.Values{"course": {course}, "next": {"#a08070"}})
		assert.Contains(t, []int{404, 422}, r.StatusCode, name)
		assert.Contains(t, r.body, `role="alert"`, name)
		assert.NotContains(t, r.body, "<script>x", name)
	}
	assert.Equal(t, 413, s.post("/rescue/continue", url.Values{"course": {strings.Repeat("x", maxFormBytes)}}).StatusCode)
	r = s.get("/rescue?wax-mass=800&dose=Bracken+6+g/kg&become=colour&target=%23d8a49b&use=these&tolerance=2")
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "tick the dyes that may be added")
}

// Dyed wax is set aside, used, and used up; what is more than there is, is
// refused.
func TestStockIsSetAsideAndUsed(t *testing.T) {
	s, ctx := newLearnedSite(t), context.Background()
	aside := url.Values{"dose": {"Bracken 2 g/kg"}, "mass": {"0.3 kg"}, "load": {"8"}, "per": {"total"}, "additives": {"Stearin 3%"}, "note": {`tin <b>4</b>`}}
	require.Equal(t, 303, s.post("/stock", aside).StatusCode)
	kept, err := s.workshop.Store.Stocks(ctx)
	require.NoError(t, err)
	require.Len(t, kept, 1)
	assert.InDelta(t, 300, kept[0].TotalG(), 1e-9)
	assert.Equal(t, wax.Load{Percent: 8, Per: wax.PerTotal}, kept[0].Load)
	page := s.get("/stock").body
	assert.Contains(t, page, "300.0 g left")
	assert.Contains(t, page, "tin &lt;b&gt;4")
	assert.Contains(t, s.get("/match?"+url.Values{"colour": {"#a97c6a"}, "wax-mass": {"1 kg"}, "load": {"8"}, "per": {"total"}, "dyes": {"2"}, "tolerance": {"20"}}.Encode()).body, "</b> stock 1", "a match uses it")

	r := s.post("/stock/1/use", url.Values{"used": {"400 g"}})
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "300.00 g left")
	require.Equal(t, 303, s.post("/stock/1/use", url.Values{"used": {"100"}}).StatusCode)
	assert.Contains(t, s.get("/stock").body, "200.0 g left")
	require.Equal(t, 303, s.post("/stock/1/use", url.Values{"used": {"200"}}).StatusCode)
	assert.Contains(t, s.get("/stock").body, "No dyed wax is set aside")
	assert.Equal(t, 404, s.post("/stock/1/use", url.Values{"used": {"1"}}).StatusCode)
	assert.Equal(t, 422, s.post("/stock/x/use", url.Values{"used": {"1"}}).StatusCode)
	aside.Set("mass", "much")
	r = s.post("/stock", aside)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, `value="Bracken 2 g/kg"`, "what was written stays")
}

// Reports come whole, as HTML that may load nothing and as PDF to keep.
func TestReportsAreReadAndKept(t *testing.T) {
	s := newLearnedSite(t)
	require.Equal(t, 303, s.post("/log", url.Values{"colours": {"Dawn = Bracken 2 g/kg x 3"}, "fill": {"pieces"}, "pieces": {"3"}, "piece-mass": {"40 g"}}).StatusCode)
	for address, says := range map[string]string{
		"/report/dye/report.%s?dye=bracken&wax=Harrow+Soy": "Bracken", "/report/shelf/report.%s?wax=Harrow+Soy": "Foxglove", "/report/batch/report.%s?batch=1": "Dawn",
	} {
		r := s.get(fmt.Sprintf(address, "html"))
		require.Equal(t, 200, r.StatusCode, address)
		assert.Contains(t, r.body, says)
		assert.NotRegexp(t, `(?i)<script|(src|href)="(https?:)?/`, r.body)
		assert.Equal(t, reportPolicy, r.Header.Get("Content-Security-Policy"))
		r = s.get(fmt.Sprintf(address, "pdf"))
		assert.Equal(t, "application/pdf", r.Header.Get("Content-Type"))
		assert.Contains(t, r.Header.Get("Content-Disposition"), "attachment")
		assert.True(t, strings.HasPrefix(r.body, "%PDF-"), address)
	}
	assert.Contains(t, s.get("/log").body, `/report/batch/report.html?batch=1"`)
	assert.Contains(t, s.get("/shelf").body, `/report/dye/report.pdf?dye=Bracken&amp;wax=Harrow%20Soy"`)
}

// Left as they are, the forms ask what the commands ask without flags.
func TestFormsAndCommandsHaveTheSameDefaults(t *testing.T) {
	s := newLearnedSite(t)
	ctx := context.Background()
	form := s.get("/match").body
	usual := workshop.UsualWish()
	assert.Contains(t, form, fmt.Sprintf(`name="tolerance" inputmode="decimal" value="%g"`, usual.ToleranceDE00))
	assert.Contains(t, form, fmt.Sprintf(`<option selected>%d</option>`, usual.MaxDyes))
	assert.Contains(t, form, fmt.Sprintf(`name="wax-mass" value="%g g"`, usual.UndyedG))
	assert.Contains(t, s.get("/rescue").body, `<option value="">the nearest shade</option>`)

	f, err := s.workshop.Predict(ctx, "", "Bracken 2 g/kg")
	require.NoError(t, err)
	target := f.Piece.Lab.Hex()
	trouble := workshop.Trouble{UndyedG: 800, Load: wax.Load{Per: wax.PerWax}, Dose: "Bracken 4 g/kg", Target: target, Means: workshop.UsualMeans()}
	nearest, _, err := s.workshop.Rescue(ctx, trouble)
	require.NoError(t, err)
	trouble.Prefer = rescue.LeastMass
	least, _, err := s.workshop.Rescue(ctx, trouble)
	require.NoError(t, err)
	require.NotEqual(t, report.ToAdd(nearest), report.ToAdd(least), "or the test could not fail")
	asked := url.Values{"wax-mass": {"800"}, "dose": {"Bracken 4 g/kg"}, "become": {"colour"}, "target": {target}, "tolerance": {"2"}, "prefer": {""}}
	assert.Contains(t, s.get("/rescue?"+asked.Encode()).body, "add "+report.ToAdd(nearest)+"</h3>")
	asked.Set("prefer", string(rescue.LeastMass))
	assert.Contains(t, s.get("/rescue?"+asked.Encode()).body, "add "+report.ToAdd(least)+"</h3>")
}

// A page counts chips as the terminal does.
func TestChipsAreCountedAlike(t *testing.T) {
	s := newLearnedSite(t)
	m, err := s.workshop.Match(context.Background(), workshop.Wish{Colour: "#c98d84", UndyedG: 370, MaxDyes: 2, ToleranceDE00: 2, Answers: 3})
	require.NoError(t, err)
	body := s.get("/match?" + url.Values{"colour": {"#c98d84"}, "wax-mass": {"370 g"}, "dyes": {"2"}, "tolerance": {"2"}}.Encode()).body
	fractions := 0
	for _, a := range m.Answers {
		for _, p := range a.Portions {
			assert.Contains(t, body, "<b>"+report.Counted(p.Count, p.Unit)+"</b> "+p.Dye)
			if p.Unit == "chip" && p.Count != math.Trunc(p.Count) {
				fractions++
			}
		}
	}
	assert.Positive(t, fractions, "a quarter of a chip is where they differed")
}

// The spot of a photograph is read by the program, not by the browser.
func TestASpotOfAPhotographIsMatched(t *testing.T) {
	s := newLearnedSite(t)
	photograph := shipped(t, "bracken-set.jpg")
	wish := workshop.Wish{
		UndyedG: 1000, MaxDyes: 2, ToleranceDE00: 2, Answers: 4,
		Spot: &workshop.PhotoSpot{Name: "b.jpg", Photo: photograph, Place: photo.Place{X: 50, Y: 50, Percent: true}},
	}
	m, err := s.workshop.Match(context.Background(), wish)
	require.NoError(t, err)
	fields := map[string]string{"wax-mass": "1 kg", "dyes": "2", "tolerance": "2", "across": "50", "down": "50", "colour": "#ff0000"}
	r := s.uploadTo("/match", "b.jpg", bytes.NewReader(photograph), fields)
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, m.Wanted.Hex())
	assert.Contains(t, r.body, m.Answers[0].Shade.Lab.Hex())

	fields["across"] = "500"
	assert.Equal(t, 422, s.uploadTo("/match", "b.jpg", bytes.NewReader(photograph), fields).StatusCode, "beside the picture")
	fields["across"] = "NaN"
	assert.Equal(t, 422, s.uploadTo("/match", "b.jpg", bytes.NewReader(photograph), fields).StatusCode)
	fields["across"] = "50"
	assert.Equal(t, 422, s.uploadTo("/match", "b.jpg", bytes.NewReader(photograph[:2000]), fields).StatusCode)
}

// A chart chosen in a form is read as the workshop reads it, in a real photograph of
// one (see SOURCES.md beside it); where the picture shows none, that is said.
func TestAChartInThePictureIsChosen(t *testing.T) {
	s := newLearnedSite(t)
	fields := map[string]string{"wax-mass": "1 kg", "dyes": "2", "tolerance": "2", "across": "23", "down": "81.3", "chart": "1976"}
	r := s.uploadTo("/match", "b.jpg", bytes.NewReader(shipped(t, "bracken-set.jpg")), fields)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "say when the chart was made")
	fields["chart"] = "before-2014-11"
	r = s.uploadTo("/match", "b.jpg", bytes.NewReader(shipped(t, "bracken-set.jpg")), fields)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, `<option value="before-2014-11" selected>made before November 2014</option>`)
	r = s.upload("b.jpg", bytes.NewReader(shipped(t, "bracken-set.jpg")), map[string]string{"wax": "Harrow Soy", "state": "set", "chart": "before-2014-11"})
	require.Equal(t, 303, r.StatusCode, r.body)
	assert.Regexp(t, "no chart of 24 patches was found|not the chart", s.get(r.Header.Get("Location")).body)

	photograph, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "refdata", "photos", "chart_on_white.jpg"))
	if err != nil {
		t.Skip("the photographs of charts are not here")
	}
	m, err := s.workshop.Match(context.Background(), workshop.Wish{
		UndyedG: 1000, MaxDyes: 2, ToleranceDE00: 2, Answers: 4,
		Spot: &workshop.PhotoSpot{
			Name: "c.jpg", Photo: photograph, Place: photo.Place{X: 23, Y: 81.3, Percent: true}, Chart: workshop.PublishedChart(chart.After2014),
		},
	})
	require.NoError(t, err)
	fields["chart"] = "after-2014-11"
	r = s.uploadTo("/match", "c.jpg", bytes.NewReader(photograph), fields)
	require.Equal(t, 200, r.StatusCode, r.body)
	assert.Contains(t, r.body, m.Wanted.Hex())
	assert.Contains(t, r.body, "those published for charts made from November 2014 on")
}

func TestABatchIsPlannedPrintedAndLogged(t *testing.T) {
	s := newLearnedSite(t)
	order := url.Values{"colours": {"Dawn = Bracken 2 chips/kg x 6\nDusk = Foxglove 0.4 g/kg"}, "fill": {"mould"}, "mould": {"Linnet clamshell"}, "times": {"2"}}
	r := s.get("/batch?" + order.Encode())
	require.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.body, "Dawn")
	link := regexp.MustCompile(`href="(/batch/sheet.html[^"]*)"`).FindStringSubmatch(r.body)
	require.NotNil(t, link)
	assert.Contains(t, s.get(html.UnescapeString(link[1])).body, "<h1>12 pieces in Harrow Soy</h1>")

	r = s.get("/batch/sheet.html?" + order.Encode())
	assert.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.Header.Get("Content-Security-Policy"), "default-src 'none'")
	assert.NotContains(t, r.Header.Get("Content-Security-Policy"), "script", "the sheet runs no script at all")
	r = s.get("/batch/sheet.pdf?" + order.Encode())
	assert.Equal(t, "application/pdf", r.Header.Get("Content-Type"))
	assert.True(t, strings.HasPrefix(r.body, "%PDF-"))
	r = s.get("/batch/sheet.html?colours=Gorse+1+g/kg")
	assert.Equal(t, 422, r.StatusCode)

	order.Set("note", "poured in the morning")
	r = s.post("/log", order)
	require.Equal(t, 303, r.StatusCode)
	assert.Contains(t, s.get("/log").body, "poured in the morning")
}

// A photograph goes in, the doses are tapped, and what is kept is what the command
// would keep.
func TestACardIsRecorded(t *testing.T) {
	s := newSite(t, nil)
	card := workshop.Card{PhotoName: "b.jpg", Photo: shipped(t, "bracken-set.jpg"), PlanText: string(shipped(t, "bracken-set.plan"))}
	want, err := s.workshop.Read(context.Background(), card)
	require.NoError(t, err)

	r := s.upload(`C:\cards\..\b.jpg`, bytes.NewReader(card.Photo), map[string]string{"wax": "Harrow Soy", "state": "set"})
	require.Equal(t, 303, r.StatusCode, r.body)
	draft := r.Header.Get("Location")
	r = s.get(draft)
	require.Equal(t, 200, r.StatusCode)
	assert.Equal(t, len(want.Swatches), strings.Count(r.body, "Dose of drop "))
	assert.Equal(t, len(want.Swatches), strings.Count(r.body, `<a href="#drop-`), "each drop of the picture leads to its dose")
	picture := s.get(draft + "/overlay.jpg")
	assert.Equal(t, "image/jpeg", picture.Header.Get("Content-Type"))

	// An amount without a dye is refused, and what was given stays.
	r = s.post(draft, url.Values{"dye-1-0": {""}, "amount-1-0": {"2"}, "unit-1-0": {"g/kg"}})
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "drop 1 has an amount and no dye")

	// So is a drop of which nothing was chosen, and it says so where it stands.
	untouched := url.Values{}
	for i := range want.Swatches {
		for _, field := range []string{"dye", "amount", "unit"} {
			untouched.Set(fmt.Sprintf("%s-%d-0", field, i+1), "")
		}
	}
	untouched.Set("dye-1-0", "undyed")
	assert.NotContains(t, s.get(draft).body, " selected>undyed", "no drop is undyed before that is said")
	r = s.post(draft, untouched)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "drop 2: choose its dye, or say that it is undyed wax or left out")
	assert.Equal(t, len(want.Swatches)-1, strings.Count(r.body, "not said yet"))
	nothing, err := s.workshop.SetDrops(context.Background(), 100)
	require.NoError(t, err)
	assert.Empty(t, nothing)

	given := url.Values{}
	for i, drop := range want.Swatches {
		dye, amount := "undyed", ""
		if len(drop.Recipe) > 0 {
			dye, amount = drop.Recipe[0].Dye, fmt.Sprint(drop.Recipe[0].DoseGPerKg)
		}
		given.Set(fmt.Sprintf("dye-%d-0", i+1), dye)
		given.Set(fmt.Sprintf("amount-%d-0", i+1), amount)
		given.Set(fmt.Sprintf("unit-%d-0", i+1), "g/kg")
	}
	given.Set("check-2", "1")

	// Doses the wrong way round are refused, with a box to keep them all the same.
	turned := url.Values{}
	for field, value := range given {
		var number, part int
		if n, _ := fmt.Sscanf(strings.TrimLeft(field, "dyeamountunit"), "-%d-%d", &number, &part); n == 2 {
			name, _, _ := strings.Cut(field, "-")
			turned[fmt.Sprintf("%s-%d-%d", name, len(want.Swatches)+1-number, part)] = value
		}
	}
	r = s.post(draft, turned)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "photographed upside down")
	assert.Contains(t, r.body, `name="as-planned"`)

	// A mass that is none is refused, too.
	given.Set("mass", "0.45 ml")
	r = s.post(draft, given)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "mass of a drop: ml is a unit of volume")
	given.Set("mass", "0.45 g")
	r = s.post(draft, given)
	require.Equal(t, 303, r.StatusCode, r.body)
	kept, err := s.workshop.SetDrops(context.Background(), 100)
	require.NoError(t, err)
	require.Len(t, kept, len(want.Swatches))
	for i, drop := range kept {
		w := want.Swatches[len(kept)-1-i]
		assert.Equal(t, w.Recipe, drop.Recipe)
		assert.Equal(t, drop.Drop == 2, drop.Check)
		assert.Equal(t, "b.jpg", drop.Photo.Name)
		assert.Equal(t, 0.45, drop.MassG)
	}
}

// A plan that was written for another card is refused as the command refuses it: its
// first doses would be those of whatever drops are there.
func TestAPlanOfAnotherCardIsRefused(t *testing.T) {
	s, ctx := newSite(t, nil), context.Background()
	other := workshop.Card{PhotoName: "o.jpg", Photo: shipped(t, "overdyed.jpg"), PlanText: string(shipped(t, "bracken-set.plan"))}
	_, err := s.workshop.Record(ctx, other)
	require.Error(t, err)
	r := s.upload(other.PhotoName, bytes.NewReader(other.Photo), map[string]string{"plan": other.PlanText})
	require.Equal(t, 303, r.StatusCode, r.body)
	r = s.get(r.Header.Get("Location"))
	assert.Equal(t, 422, r.StatusCode)
	refused, advice, _ := strings.Cut(err.Error(), "; ")
	assert.Contains(t, r.body, html.EscapeString(refused))
	assert.Contains(t, r.body, html.EscapeString(advice[1:]))
	assert.Contains(t, r.body, "overlay.jpg", "what was found is shown")
	assert.NotContains(t, r.body, ">Save ", "there is nothing to save")
}

// Learning tells how far it is, and can be stopped: then nothing is kept.
func TestLearningTellsItsProgressAndStops(t *testing.T) {
	s := newLearnedSite(t)
	before, err := s.workshop.Store.Learned(context.Background(), "Harrow Soy")
	require.NoError(t, err)

	lesson := s.post("/learn", url.Values{"wax": {"Harrow Soy"}}).Header.Get("Location")
	require.Equal(t, 303, s.post(lesson+"/stop", nil).StatusCode)
	s.get(lesson + "/progress") // until it has ended
	r := s.get(lesson)
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, r.body, "nothing was kept of it")
	after, err := s.workshop.Store.Learned(context.Background(), "Harrow Soy")
	require.NoError(t, err)
	assert.Equal(t, before, after)

	lesson = s.post("/learn", url.Values{"wax": {"harrow soy"}}).Header.Get("Location")
	told := s.get(lesson + "/progress")
	assert.Equal(t, "text/event-stream", told.Header.Get("Content-Type"))
	assert.Regexp(t, `event: step\ndata: \d+ \d+\n\n`, told.body)
	assert.True(t, strings.HasSuffix(told.body, "event: ended\ndata: \n\n"))
	r = s.get(lesson)
	assert.Equal(t, 200, r.StatusCode)
	assert.Contains(t, r.body, "Foxglove")
	assert.Contains(t, r.body, "Predicted beside measured, the worst first")
	assert.Contains(t, r.body, `<span class="standing">trusted</span>`)
	assert.Equal(t, 404, s.post("/learn", url.Values{"wax": {"Nobody's"}}).StatusCode)
}

// Posts from another site are refused whichever way a browser marks them (Fetch
// Metadata, W3C; Origin, RFC 6454), and so is a name that was made to point here.
func TestOtherSitesAreRefused(t *testing.T) {
	s := newSite(t, nil)
	for name, mark := range map[string]func(*http.Request){
		"cross-site":   func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") },
		"same-site":    func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") },
		"origin":       func(r *http.Request) { r.Header.Set("Origin", "http://elsewhere.example") },
		"other port":   func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:1") },
		"null origin":  func(r *http.Request) { r.Header.Set("Origin", "null") },
		"rebound name": func(r *http.Request) { r.Host = "elsewhere.example" },
		"lan address":  func(r *http.Request) { r.Host = "192.0.2.7:7117" },
	} {
		for _, path := range []string{"/shelf/dye", "/shelf/wax", "/shelf/mould", "/record", "/learn", "/log", "/enter", "/learn/x/stop", "/record/x", "/match", "/rescue/continue", "/stock", "/stock/1/use",
			"/card/anchor", "/card/anchor/forget", "/card/reference", "/card/reference/forget", "/reread", "/reread/x/keep", "/reread/x/stop", "/store/backup", "/store/export", "/store/x/stop"} {
			r := s.request("POST", path, "application/x-www-form-urlencoded", strings.NewReader("name=Gorse&form=powder"))
			mark(r)
			assert.Contains(t, []int{403, 421}, s.do(r).StatusCode, "%s to %s", name, path)
		}
	}
	dyes, err := s.workshop.Store.Dyes.List(context.Background())
	require.NoError(t, err)
	assert.Len(t, dyes, 6, "nothing was added")
	r := s.request("GET", "/shelf", "", nil)
	r.Host = "elsewhere.example:80"
	assert.Equal(t, 421, s.do(r).StatusCode, "nor may a rebound name read")
}

// zeros is a long file of nothing.
type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// hugePNG is a small file that says it is 60000 pixels each way (PNG, ISO/IEC
// 15948, section 11.2.2: width and height in the header), and whose data inflates
// to far more than was sent.
func hugePNG(t *testing.T) []byte {
	t.Helper()
	var out bytes.Buffer
	chunk := func(kind string, data []byte) {
		body := append([]byte(kind), data...)
		require.NoError(t, binary.Write(&out, binary.BigEndian, uint32(len(data))))
		out.Write(body)
		require.NoError(t, binary.Write(&out, binary.BigEndian, crc32.ChecksumIEEE(body)))
	}
	out.WriteString("\x89PNG\r\n\x1a\n")
	header := binary.BigEndian.AppendUint32(nil, 60000)
	header = binary.BigEndian.AppendUint32(header, 60000)
	chunk("IHDR", append(header, 8, 2, 0, 0, 0))
	var data bytes.Buffer
	z := zlib.NewWriter(&data)
	_, err := io.CopyN(z, zeros{}, 32<<20)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	chunk("IDAT", data.Bytes())
	chunk("IEND", nil)
	return out.Bytes()
}

func TestHostileUploadsAreRefused(t *testing.T) {
	s := newSite(t, nil)
	fields := map[string]string{"wax": "Harrow Soy", "state": "set"}
	good := shipped(t, "bracken-set.jpg")
	for name, c := range map[string]struct {
		file   string
		photo  io.Reader
		fields map[string]string
		status int
	}{
		"too large":       {"a.jpg", io.LimitReader(io.MultiReader(bytes.NewReader(good), zeros{}), maxUploadBytes+1), fields, 413},
		"empty":           {"a.jpg", strings.NewReader(""), fields, 422},
		"a page":          {"a.jpg", strings.NewReader("<html><script>alert(1)</script>"), fields, 422},
		"a drawing":       {"a.svg", strings.NewReader("<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"), fields, 422},
		"half a picture":  {"a.jpg", bytes.NewReader(good[:len(good)/3]), fields, 422},
		"only a head":     {"a.jpg", strings.NewReader("\xff\xd8\xff\xe0"), fields, 422},
		"bomb":            {"a.png", bytes.NewReader(hugePNG(t)), fields, 422},
		"no state":        {"a.jpg", bytes.NewReader(good), map[string]string{"wax": "Harrow Soy", "state": "gas"}, 422},
		"plan of nothing": {"a.jpg", bytes.NewReader(good), map[string]string{"plan": "\x00\x00"}, 422},
		"long field":      {"a.jpg", bytes.NewReader(good), map[string]string{"plan": strings.Repeat("x", maxFormBytes+1)}, 422},
	} {
		r := s.upload(c.file, c.photo, c.fields)
		assert.Equal(t, c.status, r.StatusCode, name)
		assert.Contains(t, r.body, `role="alert"`, name)
		assert.NotContains(t, r.body, "<script>alert", name)
	}
	r := s.do(s.request("POST", "/record", "application/x-www-form-urlencoded", strings.NewReader("photo=x")))
	assert.Equal(t, 422, r.StatusCode, "no file at all")
	r = s.do(s.request("POST", "/shelf/dye", "application/x-www-form-urlencoded", io.LimitReader(zeros{}, maxFormBytes+1)))
	assert.Equal(t, 413, r.StatusCode, "a form that is too large")
}

// A name that comes with a photograph is a word to show, and never a place.
func TestNamesNeverReachTheDisk(t *testing.T) {
	for name, want := range map[string]string{
		"card.jpg": "card.jpg", "../../etc/passwd": "passwd", `..\..\card.jpg`: "card.jpg", "/": "photograph", "..": "photograph",
		"a\x00b\n.jpg": "ab.jpg", "": "photograph", "C:\\x\\": "photograph", "été.jpg": "été.jpg", "\xff.jpg": "jpg",
		strings.Repeat("é", 200): strings.Repeat("é", 80), "card\u202egpj.exe": "cardgpj.exe",
	} {
		assert.Equal(t, want, plainName(name, "photograph"), "%q", name)
	}
	s := newSite(t, nil)
	folder := filepath.Dir(s.workshop.Store.Path())
	before := filesUnder(t, filepath.Dir(folder))
	r := s.upload("../../../escaped.jpg", bytes.NewReader(shipped(t, "bracken-set.jpg")),
		map[string]string{"plan": string(shipped(t, "bracken-set.plan"))})
	require.Equal(t, 303, r.StatusCode, r.body)
	for _, file := range filesUnder(t, filepath.Dir(folder)) {
		own := regexp.MustCompile(`^drafts/bench.db/[A-Z2-7]{26}\.(photo|text)$`).MatchString(strings.TrimPrefix(file, folder+"/"))
		assert.True(t, own || slices.Contains(before, file), "%s has a name that came from elsewhere", file)
	}
}

func filesUnder(t *testing.T, folder string) []string {
	t.Helper()
	var files []string
	require.NoError(t, filepath.WalkDir(folder, func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() && !strings.HasSuffix(path, "-wal") && !strings.HasSuffix(path, "-shm") {
			files = append(files, path)
		}
		return err
	}))
	return files
}

// What a maker writes is text on the page, whatever it looks like.
func TestWhatIsWrittenIsShownAsText(t *testing.T) {
	s := newSite(t, nil)
	r := s.post("/log", url.Values{"colours": {"undyed"}, "fill": {"pieces"}, "pieces": {"3"}, "piece-mass": {"40 g"}, "note": {`<b onclick="x()">Star</b>`}})
	require.Equal(t, 303, r.StatusCode, r.body)
	body := s.get("/log").body
	assert.Contains(t, body, "&lt;b onclick=")
	assert.NotContains(t, body, "<b onclick")
	r = s.get("/match?" + url.Values{"colour": {`"><script>x</script>`}, "wax-mass": {"many"}}.Encode())
	assert.Equal(t, 422, r.StatusCode)
	assert.NotContains(t, r.body, "<script>x")
}

// Over the local network nothing is shown without the code; a code lets one
// browser in, once.
func TestTheGateAsksForItsCode(t *testing.T) {
	var codes []string
	s := newSite(t, NewGate(func(code string) { codes = append(codes, code) }))
	first := codes[0]
	assert.Equal(t, "/enter", s.get("/").Header.Get("Location"))
	for _, path := range []string{"/shelf", "/predict", "/log", "/record/x/overlay.jpg", "/batch/sheet.pdf", "/card", "/store/x/copy.zip"} {
		assert.Equal(t, 401, s.get(path).StatusCode, path)
	}
	assert.Equal(t, 401, s.post("/shelf/dye", url.Values{"name": {"Gorse"}}).StatusCode)
	assert.Equal(t, 401, s.post("/store/backup", nil).StatusCode)
	require.Equal(t, 200, s.get("/enter?code="+first).StatusCode, "a link that is only looked at uses nothing up")

	r := s.post("/enter", url.Values{"code": {strings.ToLower(first) + " "}})
	require.Equal(t, 303, r.StatusCode)
	cookie := r.Cookies()[0]
	assert.True(t, cookie.HttpOnly)
	assert.Equal(t, http.SameSiteStrictMode, cookie.SameSite)
	with := s.request("GET", "/shelf", "", nil)
	with.AddCookie(cookie)
	assert.Equal(t, 200, s.do(with).StatusCode)
	forged := s.request("GET", "/shelf", "", nil)
	forged.AddCookie(&http.Cookie{Name: cookieName, Value: "AAAA"})
	assert.Equal(t, 401, s.do(forged).StatusCode)

	assert.Equal(t, 403, s.post("/enter", url.Values{"code": {first}}).StatusCode, "a code is good once")
	assert.Len(t, codes, 2)
}

// A stranger's guesses never change the code that the terminal shows, and each of them
// makes the stranger wait longer, nobody else.
func TestWrongCodesOnlyMakeTheirSenderWait(t *testing.T) {
	var codes []string
	g := NewGate(func(code string) { codes = append(codes, code) })
	at := time.Date(2026, 11, 30, 12, 0, 0, 0, time.UTC)
	g.now = func() time.Time { return at }
	guess := func(code string) (string, time.Duration) { return g.enter("192.168.77.99", code) }
	tried, last := 0, time.Duration(0)
	for range 1000 {
		_, wait := guess("AAAAAAAA")
		if wait == 0 {
			tried++
			continue
		}
		require.GreaterOrEqual(t, wait, last, "pauses grow")
		last = wait
		token, _ := guess(codes[0])
		require.Empty(t, token, "a pause is one for every code")
		at = at.Add(wait)
	}
	assert.Equal(t, 10*time.Minute, last)
	assert.Less(t, tried, 600)
	assert.Len(t, codes, 1, "the code stands, and the terminal is quiet")
	token, _ := g.enter("192.168.77.7", codes[0])
	assert.NotEmpty(t, token, "the maker's own phone enters by it at once")
	for i := range 10 * mostGuessers {
		g.enter(fmt.Sprint(i), "AAAAAAAA")
	}
	assert.LessOrEqual(t, len(g.guessers), mostGuessers)

	s := newSite(t, g)
	for range 3 {
		assert.Equal(t, 403, s.post("/enter", url.Values{"code": {"AAAAAAAA"}}).StatusCode)
	}
	assert.Equal(t, 403, s.post("/enter", url.Values{"code": {"AAAAAAAA"}}).StatusCode)
	r := s.post("/enter", url.Values{"code": {codes[1]}})
	assert.Equal(t, 429, r.StatusCode)
	assert.Equal(t, "1", r.Header.Get("Retry-After"))
	assert.Contains(t, r.body, "wait 1 second,")
}

// Who was let in stays so over a restart; no copy of the store lets anybody in.
func TestBrowsersStayLetInOverARestart(t *testing.T) {
	code, path := "", filepath.Join(t.TempDir(), "bench.db.browsers")
	begin := func() *Gate {
		g := NewGate(func(c string) { code = c })
		require.NoError(t, g.KeepIn(path))
		return g
	}
	g := begin()
	var cookies []*http.Cookie
	s := newSite(t, g)
	for range 2 {
		cookies = append(cookies, s.post("/enter", url.Values{"code": {code}}).Cookies()[0])
	}
	assert.Positive(t, cookies[0].MaxAge, "the browser keeps it, too")
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, cookie := range cookies {
		assert.NotContains(t, string(kept), cookie.Value, "the file opens nothing")
	}
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	again := newSite(t, begin())
	status := func(cookie *http.Cookie) int {
		r := again.request("GET", "/shelf", "", nil)
		r.AddCookie(cookie)
		return again.do(r).StatusCode
	}
	assert.Equal(t, 200, status(cookies[0]))
	assert.Equal(t, 200, status(cookies[1]))
	assert.Equal(t, 401, status(&http.Cookie{Name: cookieName, Value: strings.Fields(string(kept))[0]}))
	require.NoError(t, os.Remove(path))
	again = newSite(t, begin())
	assert.Equal(t, 401, status(cookies[0]))
	require.NoError(t, os.Mkdir(path, 0o700))
	assert.ErrorContains(t, NewGate(func(string) {}).KeepIn(path), "remove that file")
}

func TestOurHosts(t *testing.T) {
	for host, c := range map[string]struct{ alone, lan bool }{
		"127.0.0.1:7117": {true, true}, "localhost": {true, true}, "[::1]:80": {true, true}, "[::1]": {true, true},
		"192.168.1.5:7117": {false, true}, "example.org": {false, false}, "localhost.example.org": {false, false},
		"127.0.0.1.example.org:80": {false, false}, "": {false, false},
		localName + ":7117": {false, true}, strings.ToUpper(localName) + ".": {false, true}, "another-" + localName: {false, false}, ".local": {false, false},
	} {
		assert.Equal(t, c.alone, ours(host, false), "%q alone", host)
		assert.Equal(t, c.lan, ours(host, true), "%q in the network", host)
	}
}

// 50 who read and 5 who write at once, over loopback: every reader is answered,
// and every write that was answered is there.
func TestManyAtOnceLoseNothing(t *testing.T) {
	const readers, readsEach, writers, writesEach = 50, 6, 5, 8
	s := newSite(t, nil)
	require.Equal(t, 303, s.post("/stock", url.Values{"dose": {"Bracken 2 g/kg"}, "mass": {"1 kg"}}).StatusCode)
	s.Client().Transport.(*http.Transport).MaxIdleConnsPerHost = readers + writers
	paths := []string{"/shelf", "/log", "/stock", "/match", "/batch", "/record", "/learn"}
	var all sync.WaitGroup
	for i := range readers {
		all.Go(func() {
			for k := range readsEach {
				assert.Equal(t, 200, s.get(paths[(i+k)%len(paths)]).StatusCode)
			}
		})
	}
	for i := range writers {
		all.Go(func() {
			for k := range writesEach {
				r := s.post("/shelf/mould", url.Values{"name": {fmt.Sprintf("Star %d-%d", i, k)}, "cavities": {"6"}, "cavity": {"14"}})
				assert.Equal(t, 303, r.StatusCode, r.body)
				r = s.post("/log", url.Values{"colours": {"undyed"}, "fill": {"pieces"}, "pieces": {"3"}, "piece-mass": {"40 g"}, "note": {fmt.Sprintf("note %d-%d", i, k)}})
				assert.Equal(t, 303, r.StatusCode, r.body)
				r = s.post("/stock/1/use", url.Values{"used": {"10 g"}})
				assert.Equal(t, 303, r.StatusCode, r.body)
			}
		})
	}
	all.Wait()
	ctx := context.Background()
	moulds, err := s.workshop.Store.Moulds.List(ctx)
	require.NoError(t, err)
	assert.Len(t, moulds, 1+writers*writesEach)
	batches, err := s.workshop.Batches(ctx)
	require.NoError(t, err)
	require.Len(t, batches, writers*writesEach)
	stock, err := s.workshop.Store.Stock(ctx, 1)
	require.NoError(t, err)
	assert.InDelta(t, 1000-10*writers*writesEach, stock.TotalG(), 1e-6, "every gram used is taken off")
	notes := map[string]bool{}
	for _, b := range batches {
		notes[strings.Join(b.Notes, "")] = true
	}
	assert.Len(t, notes, writers*writesEach)
}

// A change of a slider: the answer of the server alone.
func BenchmarkPredictPart(b *testing.B) {
	s := newLearnedSite(b)
	for b.Loop() {
		require.Equal(b, 200, s.get("/predict?part=1&dose+Bracken=1&dose+Foxglove=0.2").StatusCode)
	}
}
