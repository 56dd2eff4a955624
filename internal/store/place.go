package store

import "strings"

// DefaultPath returns where a store lives when the maker names no place, by the
// convention of the operating system goos:
//
//	windows   %LocalAppData%, else AppData\Local in the home folder
//	darwin    Library/Application Support in the home folder
//	others    $XDG_DATA_HOME when it is absolute, else ~/.local/share
//
// It is a pure function: the environment and the home folder come in, and the
// path has the separators of goos. An XDG_DATA_HOME that is not absolute is
// ignored, as the XDG Base Directory Specification 0.8 asks.
func DefaultPath(getenv func(string) string, home, goos string) string {
	file := []string{"setshade", "setshade.db"}
	switch goos {
	case "windows":
		if local := getenv("LocalAppData"); local != "" {
			return joined(`\`, local, file...)
		}
		return joined(`\`, home, append([]string{"AppData", "Local"}, file...)...)
	case "darwin":
		return joined("/", home, append([]string{"Library", "Application Support"}, file...)...)
	}
	if data := getenv("XDG_DATA_HOME"); strings.HasPrefix(data, "/") {
		return joined("/", data, file...)
	}
	return joined("/", home, append([]string{".local", "share"}, file...)...)
}

func joined(separator, folder string, below ...string) string {
	return strings.TrimRight(folder, separator) + separator + strings.Join(below, separator)
}
