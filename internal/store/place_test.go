package store

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The XDG Base Directory Specification 0.8 gives $XDG_DATA_HOME, its default
// $HOME/.local/share, and the rule that a relative path is ignored. The folders
// of macOS ("File System Programming Guide") and of Windows ("Known Folders",
// FOLDERID_LocalAppData) are from memory.
func TestDefaultPath(t *testing.T) {
	for _, tt := range []struct {
		name, goos, home string
		env              map[string]string
		want             string
	}{
		{"linux", "linux", "/home/ada", nil, "/home/ada/.local/share/setshade/setshade.db"},
		{"linux, data home", "linux", "/home/ada", map[string]string{"XDG_DATA_HOME": "/data/"}, "/data/setshade/setshade.db"},
		{"linux, relative data home", "linux", "/home/ada", map[string]string{"XDG_DATA_HOME": "data"}, "/home/ada/.local/share/setshade/setshade.db"},
		{"macOS", "darwin", "/Users/ada", map[string]string{"XDG_DATA_HOME": "/data"}, "/Users/ada/Library/Application Support/setshade/setshade.db"},
		{"Windows", "windows", `C:\Users\ada`, map[string]string{"LocalAppData": `D:\Local`}, `D:\Local\setshade\setshade.db`},
		{"Windows, bare", "windows", `C:\Users\ada`, nil, `C:\Users\ada\AppData\Local\setshade\setshade.db`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			getenv := func(name string) string { return tt.env[name] }
			assert.Equal(t, tt.want, DefaultPath(getenv, tt.home, tt.goos))
		})
	}
}
