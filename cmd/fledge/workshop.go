package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"fledge/internal/app"
	"fledge/internal/web"
)

// workshop is the browser's page.
func workshop(c *console) []*cobra.Command {
	var port int
	var phone, pairHere, noOpen, endWithInput, noCache bool
	units := "metric"
	cmd := &cobra.Command{
		Use: "workshop [DIR]", GroupID: "main", Short: "the whole job in the browser, on the drawing itself",
		Long: "Opens the workshop on this machine: the aeroplane drawn to scale, parts to be\n" +
			"dragged, launches to be looked at, logs to be dropped. DIR is the hangar, the\n" +
			"folder with the build files; here, when left out. Nothing leaves the machine and\n" +
			"nobody else can ask, unless --phone opens it to the local network, for devices\n" +
			"that type the pairing code. Ctrl-C ends it.",
		Example: "  fledge workshop\n  fledge workshop models --port 8300 --no-open\n  fledge workshop --phone",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return app.Bad("too-many", "name one folder", fmt.Sprintf("fledge workshop takes one folder, not %d", len(args)))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if port < 0 || port > 65535 {
				return app.Bad("range", "0 picks a free one", fmt.Sprintf("--port %d is no port", port))
			}
			if units != "metric" && units != "imperial" {
				return app.Bad("units", "metric or imperial", fmt.Sprintf("--units %q is not known", units))
			}
			conf := web.Config{Dir: ".", Talk: c.talk, Cached: !noCache, Units: units, Phone: phone, PairAll: pairHere}
			if len(args) == 1 {
				conf.Dir = args[0]
			}
			return serveWorkshop(cmd.Context(), c, conf, port, !noOpen, endWithInput)
		},
	}
	f := cmd.Flags()
	f.IntVar(&port, "port", 0, "`NUMBER` of the port; a free one when left out")
	f.BoolVar(&phone, "phone", false, "open it to the local network, for a phone at the field; devices pair by a code")
	f.BoolVar(&pairHere, "pair-here", false, "ask for the code on this machine, too: one that others use as well")
	f.BoolVar(&noOpen, "no-open", false, "do not open the browser")
	f.BoolVar(&endWithInput, "end-with-input", false, "end when the standard input ends, for programs that start it")
	f.StringVar(&units, "units", "metric", "`metric` or imperial, what the page begins with")
	f.BoolVar(&noCache, "no-cache", false, "compute everything anew, keep nothing")
	return []*cobra.Command{cmd}
}

func serveWorkshop(ctx context.Context, c *console, conf web.Config, port int, open, endWithInput bool) error {
	host := "127.0.0.1"
	if conf.Phone {
		host = ""
		conf.Hosts = ownAddresses()
	}
	s, err := web.New(conf)
	if err != nil {
		return err
	}
	defer s.Close()
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort(host, strconv.Itoa(port)))
	if err != nil {
		hint := "leave --port out for a free one"
		if errors.Is(err, syscall.EACCES) {
			hint = "a port above 1023 needs no rights"
		}
		return app.Bad("port", hint, fmt.Sprintf("port %d cannot be had", port))
	}
	port = l.Addr().(*net.TCPAddr).Port
	own := greet(c, conf, port, s.Code())
	if open {
		if err := openBrowser(own + "/"); err != nil {
			fmt.Fprintln(c.talk, "No browser could be opened: open the address by hand.")
		}
	}
	if endWithInput {
		var cancel context.CancelFunc
		ctx, cancel = context.WithCancel(ctx)
		go func() {
			defer cancel()
			_, _ = io.Copy(io.Discard, c.in)
		}()
	}
	err = s.Serve(ctx, l)
	if err == nil {
		fmt.Fprintln(c.talk, "The workshop is closed.")
	}
	return err
}

// greet tells where the workshop is, and what opening it to others means.
func greet(c *console, conf web.Config, port int, code string) (own string) {
	own = "http://127.0.0.1:" + strconv.Itoa(port)
	fmt.Fprintf(c.out, "The workshop is open at  %s/\n", own)
	if !web.HasPage() {
		fmt.Fprintln(c.talk, "Its page was not built into this program (make ui does): the address says so; all other verbs work.")
	}
	if conf.Phone {
		fmt.Fprintf(c.talk, "Open to the local network: whoever has the code can change builds in this folder,\nand what is sent is not encrypted. Use it on a network of your own, not on a public one.\n")
		for _, h := range conf.Hosts {
			if net.ParseIP(h) != nil {
				fmt.Fprintf(c.talk, "On the phone:  http://%s/\n", net.JoinHostPort(h, strconv.Itoa(port)))
			}
		}
	}
	if conf.Phone || conf.PairAll {
		fmt.Fprintf(c.talk, "Pairing code, for one device, within the hour:  %s\n", code)
	}
	fmt.Fprintln(c.talk, "Ctrl-C ends it.")
	return own
}

// ownAddresses lists the names and addresses by which other devices reach
// this machine on its own networks.
func ownAddresses() []string {
	var out []string
	addrs, _ := net.InterfaceAddrs()
	for _, a := range addrs {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast() || !n.IP.IsPrivate() {
			continue
		}
		out = append(out, n.IP.String())
	}
	slices.Sort(out)
	if name, err := os.Hostname(); err == nil && name != "" {
		name = strings.ToLower(name)
		out = append(out, name, name+".local")
	}
	return out
}

// openBrowser asks the system to open an address, and does not wait for it.
func openBrowser(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { _ = cmd.Wait() }()
	return nil
}
