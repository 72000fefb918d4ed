#include "cli/byte_source.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <istream>
#include <system_error>
#include <vector>

namespace frostread::cli {

namespace {

constexpr std::size_t kPiece = std::size_t{1} << 16U;

/// Reads a byte without moving on. Only files and folders can tell; 0 for everything else.
int try_one_byte(int descriptor) {
    char byte = 0;
    const ssize_t count = ::pread(descriptor, &byte, 1, 0);
    return count >= 0 || errno == ESPIPE || errno == EINTR ? 0 : errno;
}

}  // namespace

ByteSource::ByteSource(const std::string& path) : descriptor_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {
    owned_ = descriptor_ >= 0;
    if (!owned_) error_ = errno;
}

ByteSource::~ByteSource() {
    if (owned_) ::close(descriptor_);
}

std::size_t ByteSource::read(char* to, std::size_t most) {
    if (error_ != 0) return 0;
    if (descriptor_ < 0) {
        stream_->read(to, static_cast<std::streamsize>(most));
        if (stream_->bad()) error_ = EIO;
        return static_cast<std::size_t>(stream_->gcount());
    }
    while (true) {
        const ssize_t count = ::read(descriptor_, to, most);
        if (count >= 0) return static_cast<std::size_t>(count);
        if (errno == EAGAIN || errno == EWOULDBLOCK) {  // somebody made it so; we wait all the same
            pollfd one{descriptor_, POLLIN, 0};
            ::poll(&one, 1, -1);
        } else if (errno != EINTR) {
            error_ = errno;
            return 0;
        }
    }
}

bool ByteSource::would_wait() const {
    if (descriptor_ < 0 || error_ != 0) return false;
    pollfd one{descriptor_, POLLIN, 0};
    return ::poll(&one, 1, 0) == 0;
}

std::string read_all(ByteSource& source) {
    std::string text;
    std::vector<char> piece(kPiece);
    while (const std::size_t count = source.read(piece.data(), piece.size())) text.append(piece.data(), count);
    return text;
}

int why_unreadable(const Context& context, const std::string& path) {
    if (path == "-") return context.in_descriptor < 0 ? 0 : try_one_byte(context.in_descriptor);
    struct stat info {};
    if (::stat(path.c_str(), &info) != 0) return errno;
    if (S_ISDIR(info.st_mode)) return EISDIR;
    if (!S_ISREG(info.st_mode)) return 0;  // opening a pipe would wait for its writer
    const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) return errno;
    const int error = try_one_byte(descriptor);
    ::close(descriptor);
    return error;
}

std::string system_words(int error) {
    return std::generic_category().message(error);
}

}  // namespace frostread::cli
