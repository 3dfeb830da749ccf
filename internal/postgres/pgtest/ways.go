package pgtest

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"strconv"
)

// The image that deploy/postgres-image/build makes, and the word for not
// wanting a container at all.
const (
	defaultImage = "wattle-postgres:15"
	noImage      = "none"
)

// ways are the environment's wishes for the server.
type ways struct {
	url       string // a server that is there already
	image     string
	imageSet  bool // somebody asked for that image: it may be pulled, and nothing else will do
	container bool // required
}

func waysFromEnvironment() ways {
	w := ways{
		url:       os.Getenv("WATTLE_TEST_DATABASE_URL"),
		image:     os.Getenv("WATTLE_TEST_POSTGRES_IMAGE"),
		container: os.Getenv("WATTLE_TEST_REQUIRE_CONTAINER") == "1",
	}
	w.imageSet = w.image != "" && w.image != noImage
	if w.image == "" {
		w.image = defaultImage
	}
	return w
}

// address is a running server, as the keeper tells it to the test processes.
type address struct {
	URL    string // as a superuser
	How    string // a sentence for people
	Keeper int    // pid of the process that runs it; 0 where the server is not ours
}

// find returns a running server, started if need be.
func (w ways) find() (address, error) {
	switch {
	case w.url != "" && w.container:
		return address{}, errors.New("WATTLE_TEST_REQUIRE_CONTAINER=1 and WATTLE_TEST_DATABASE_URL contradict each other: unset one")
	case w.url != "":
		return address{URL: w.url, How: "the one that WATTLE_TEST_DATABASE_URL names"}, nil
	default:
		return joinServer(w.key())
	}
}

// key is the same for processes that may share a server: those of one user
// with the same wishes.
func (w ways) key() string {
	wishes := fmt.Sprintf("%q", []string{
		w.image, strconv.FormatBool(w.imageSet), strconv.FormatBool(w.container),
		os.Getenv("DOCKER_HOST"), os.Getenv("WATTLE_POSTGRES_BIN"), os.Getenv("PATH"),
	})
	return fmt.Sprintf("%d-%x", os.Geteuid(), sha256.Sum256([]byte(wishes)))[:len(strconv.Itoa(os.Geteuid()))+9]
}
