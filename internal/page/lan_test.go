package page

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/plan"
)

// asAPhone makes a request what a browser sends with the page's own form over plain
// http to an address of the local network: no Sec-Fetch-Site, since that address is not
// trustworthy (Fetch Metadata Request Headers, W3C, section 2), and an Origin that is
// "null" where the page's referrer policy is no-referrer (Fetch, WHATWG, "append a
// request Origin header").
func asAPhone(r *http.Request, policy string) *http.Request {
	r.Host = lanAddress + ":7117"
	r.Header.Set("Origin", "http://"+r.Host)
	if policy == "no-referrer" {
		r.Header.Set("Origin", "null")
	}
	return r
}

// A phone enters and sends forms by an address of the local network, and a page of
// another site there still may not.
func TestAPhoneSendsFormsOverTheNetwork(t *testing.T) {
	code := ""
	s := newSite(t, NewGate(func(c string) { code = c }))
	policy := s.get("/enter").Header.Get("Referrer-Policy")
	form := func(path string, fields url.Values) *http.Request {
		return asAPhone(s.request("POST", path+"?once="+onceKey(), urlEncoded, strings.NewReader(fields.Encode())), policy)
	}
	r := s.do(form("/enter", url.Values{"code": {code}}))
	require.Equal(t, 303, r.StatusCode, r.body)
	cookie := r.Cookies()[0]
	add := form("/shelf/dye", url.Values{"name": {"Gorse"}, "form": {"powder"}})
	add.AddCookie(cookie)
	assert.Equal(t, 303, s.do(add).StatusCode)
	foreign := form("/shelf/dye", url.Values{"name": {"Heath"}, "form": {"powder"}})
	foreign.AddCookie(cookie)
	foreign.Header.Set("Origin", "http://192.168.77.8:7117")
	assert.Equal(t, 403, s.do(foreign).StatusCode)
}

// The walk of a maker with a phone: from the code in the terminal to a recorded card, by
// an address of the local network.
func TestBrowserOfAPhoneRecordsACard(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes seconds to start")
	}
	code := ""
	b := openBrowser(t, screen{360, 780, false, true}, NewGate(func(c string) { code = c }))
	assert.Equal(t, []any{false, true}, script[[]any](b, `[isSecureContext, navigator.maxTouchPoints > 0]`), "as a phone on a home network")
	b.run(chromedp.Navigate(EnterURL(b.base, code)), chromedp.WaitVisible(chromedp.CSS("#code")))
	b.look("phone-enter")
	b.tap("Enter", "At the bench")
	b.look("phone-home")

	b.run(chromedp.Tap(`//a[starts-with(., "Liquid drops")]`), chromedp.WaitVisible(chromedp.CSS("select[name=under]")))
	file := filepath.Join(t.TempDir(), "bracken-set.jpg")
	require.NoError(t, os.WriteFile(file, shipped(t, "bracken-set.jpg"), 0o600))
	b.run(chromedp.SetUploadFiles(chromedp.CSS("#photo"), []string{file}))
	b.tap("Look for drops", "Say which drop")
	card, err := plan.Parse(string(shipped(t, "bracken-set.plan")))
	require.NoError(t, err)
	// The dye is said once for the ladder, and brings its unit: amounts that differ are left.
	script[chromedp.Void](b, `{const s = document.getElementById("ladder-dye"); s.value = "Bracken"; s.dispatchEvent(new Event("change", {bubbles: true}))}`)
	assert.Equal(t, "chips/kg", script[string](b, `document.getElementById("ladder-unit").value`))
	b.fill("#ladder-from", "0.5")
	b.run(chromedp.Tap(chromedp.CSS("button[value=ladder]")), chromedp.WaitVisible(`//summary[contains(., "Bracken 8 chips/kg")]`))
	for _, drop := range card.Drops {
		if len(drop.Parts) > 0 {
			script[chromedp.Void](b, fmt.Sprintf(`{document.getElementById("drop-%d").open = true; document.getElementById("amount-%[1]d-0").value = %q}`, drop.Number, fmt.Sprint(drop.Parts[0].Value)))
		}
	}
	b.look("phone-draft")
	b.tap("Save", "Recorded")
	b.run(chromedp.WaitVisible(chromedp.CSS(".learned"))) // the page comes anew once it is
	b.look("phone-recorded")
	// Loaded again, it is told again and nothing is sent again.
	b.run(chromedp.Reload(), chromedp.WaitVisible(`//h1[. = "Recorded"]`), chromedp.WaitVisible(chromedp.CSS(".learned")))
	kept, err := b.site.workshop.SetDrops(context.Background(), 100)
	require.NoError(t, err)
	require.Len(t, kept, len(card.Drops))
	for _, drop := range kept {
		if drop.Drop > 1 {
			assert.Equal(t, "Bracken", drop.Recipe[0].Dye)
			assert.InDelta(t, 0.5*card.Drops[drop.Drop-1].Parts[0].Value, drop.Recipe[0].DoseGPerKg, 1e-9, "in chips, of which each weighs half a gram")
		}
	}

	// Two taps before the answer came.
	b.open("/stock")
	b.fill("#dose", "Bracken 2 g/kg")
	b.fill("#mass", "300 g")
	script[chromedp.Void](b, `{const f = document.querySelector("form[action^='/stock?']"); f.requestSubmit(); f.requestSubmit()}`)
	b.run(chromedp.WaitVisible(chromedp.CSS("#used-1")))
	stocks, err := b.site.workshop.Store.Stocks(context.Background())
	require.NoError(t, err)
	assert.Len(t, stocks, 1)
}

// tap touches the button that reads so, and waits for the page whose heading starts
// with a word.
func (b *browser) tap(button, heading string) {
	b.t.Helper()
	b.run(chromedp.Tap(fmt.Sprintf(`//button[starts-with(normalize-space(.), %q)]`, button)))
	b.run(chromedp.WaitVisible(fmt.Sprintf(`//h1[starts-with(normalize-space(.), %q)]`, heading)))
}
