# Sourced by the scripts that build. install_missing PACKAGE…: on Debian, installs the packages that
# are not there when it may, else names them and stops.
install_missing() {
    command -v dpkg-query >/dev/null 2>&1 || return 0
    missing=""
    for package in "$@"; do
        status=$(dpkg-query -W -f='${Status}' "$package" 2>/dev/null || true)
        case $status in
            *"ok installed") ;;
            *) missing="$missing $package" ;;
        esac
    done
    [ -z "$missing" ] && return 0
    if [ "$(id -u)" -ne 0 ]; then
        echo "These Debian packages are missing:$missing" >&2
        echo "Install them with: sudo apt-get install$missing" >&2
        exit 1
    fi
    echo "Installing:$missing"
    apt-get update -qq
    # shellcheck disable=SC2086
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
}
