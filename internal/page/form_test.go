package page

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// forms are where forms go, each with one as a maker fills it in. Names are those
// of Harrow Lane Wax, which is invented.
var forms = []struct{ method, path, kind, filled string }{
	{"POST", "/shelf/wax", urlEncoded, "name=Harrow+Coco&density=0%2C9&load=8&per=wax&heat-to=85&fragrance-at=65&pour-at=57&cure=48"},
	{"POST", "/shelf/dye", urlEncoded, "name=Mere&form=liquid&unit-mass=0.031+g&max-dose=4&price=0.3&lot=%3D7"},
	{"POST", "/shelf/mould", urlEncoded, "name=Tray&cavities=6&cavity=14.5"},
	{"POST", "/log", urlEncoded, "wax=Harrow+Soy&colours=Dusk+%3D+Bracken+2+chips%2Fkg&loss=3&load=8&per=total&fill=pieces&pieces=12&piece-mass=2+oz&note=%2Bfrosted&lots=fragrance%3D7"},
	{"POST", "/record", "multipart/form-data; boundary=edge", "--edge\r\nContent-Disposition: form-data; name=\"plan\"\r\n\r\nwax Harrow Soy\r\nstate set\r\n1 undyed\r\n" +
		"--edge\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"../a.jpg\"\r\n\r\n\xff\xd8\xff\xe0\r\n--edge--\r\n"},
	{"GET", "/predict", "", "wax=Harrow+Soy&dose-Bracken=2&part=1"},
	{"GET", "/match", "", "wax=Harrow+Soy&colour=d9b8a4&wax-mass=1+lb&dyes=2&tolerance=1&never=Bracken"},
	{"GET", "/rescue", "", "wax=Harrow+Soy&wax-mass=900&known=recipe&dose=Bracken+8+chips%2Fkg&load=8&per=wax&target=%23d9b8a4&pot=2000&tolerance=1"},
	{"GET", "/next", "", "wax=Harrow+Soy&for=Bracken+2+chips%2Fkg"},
	{"GET", "/batch", "", "wax=Harrow+Soy&colours=Bracken+2+chips%2Fkg&fill=mould&mould=Linnet+clamshell&times=4&wicked=1&flash-point=93"},
	{"GET", "/batch/sheet.html", "", "wax=Harrow+Soy&colours=undyed&fill=scoops&scoops=3&scoop-mass=30"},
	{"POST", "/stock", urlEncoded, "wax=Harrow+Soy&dose=Bracken+2+chips%2Fkg&mass=300+g&load=8&per=total&additives=Stearin+2%25%0AHardener+1%25&note=%3Djar"},
	{"POST", "/stock/1/use", urlEncoded, "used=1%2F2+lb"},
	{"POST", "/rescue/continue", urlEncoded, "course=" + url.QueryEscape(`{"version":1,"wax":"Harrow Soy","dose_spread":0.05,"batch":{"UndyedG":800,"Recipe":[{"dye":"Bracken","dose_g_per_kg":4}],"Load":{"Percent":8,"Per":"wax"}},"target":{"colour":{"Lab":{"L":75,"a":8,"b":10}},"thick":true},"limits":{"tolerance_de00":1}}`) + "&next=60+20+6&added=undyed+120+g"},
	{"GET", "/card/test-card.pdf", "", "paper=letter&print=2"},
	{"POST", "/card/anchor", urlEncoded, "from=3"},
	{"POST", "/card/reference", "multipart/form-data; boundary=edge", "--edge\r\nContent-Disposition: form-data; name=\"size\"\r\n\r\nA5\r\n--edge\r\nContent-Disposition: form-data; name=\"print\"\r\n\r\n2\r\n" +
		"--edge\r\nContent-Disposition: form-data; name=\"colours-file\"; filename=\"../s.csv\"\r\n\r\n# D50\npatch,L,a,b\n1,20,0,0\r\n--edge--\r\n"},
}

const urlEncoded = "application/x-www-form-urlencoded"

// FuzzForms sends forms to the page. Whatever is in them, the answer is a page or a
// sentence, never a failure of the page itself, markup of the sender's, or a number
// that is none.
func FuzzForms(f *testing.F) {
	s := newLearnedSite(f)
	for i, form := range forms {
		f.Add(uint8(i), form.filled)
		f.Add(uint8(i), form.filled+"&wax=%00%FF&name=%3Cscript%20mark%3E&density=1e999&pieces=-1&colours=%3Cscript%20mark%3E+NaN&dose=%3Cscript%20mark%3E&load=1e308;%")
		f.Add(uint8(i), "name=%3Cscript+mark%3E&wax=%3Cscript+mark%3E&colour=%3Cscript+mark%3E&wax-mass=1e300&pieces=9223372036854775807&piece-mass=1e300&fill=pieces&colours=undyed&target=%3Cscript+mark%3E&dose=undyed")
	}
	f.Fuzz(func(t *testing.T, which uint8, fields string) {
		to := forms[int(which)%len(forms)]
		r := httptest.NewRequest(to.method, "http://127.0.0.1"+to.path, nil)
		if to.method == http.MethodGet {
			r.URL.RawQuery = fields
		} else {
			r = httptest.NewRequest(to.method, "http://127.0.0.1"+to.path+"?once="+onceKey(), strings.NewReader(fields))
			r.Header.Set("Content-Type", to.kind)
		}
		got := httptest.NewRecorder()
		s.Config.Handler.ServeHTTP(got, r)
		body := got.Body.String()
		assert.Less(t, got.Code, 500, body)
		assert.NotContains(t, body, "<script mark", "markup of the sender's")
		// The sender's own words may stand in the answer, and % may hide them here.
		if sent := strings.ToLower(fields); !strings.Contains(sent, "nan") && !strings.Contains(sent, "inf") && !strings.Contains(sent, "%") {
			assert.NotRegexp(t, `NaN|[+-]Inf`, body)
		}
	})
}
