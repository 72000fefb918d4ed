#include "cli/line_input.hpp"

#ifdef FROSTREAD_LIBEDIT

#include <histedit.h>
#include <langinfo.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <clocale>
#include <cstdio>
#include <cstring>
#include <cwchar>
#include <utility>

namespace frostread::cli {

namespace {

constexpr int kHistory = 200;

/// libedit calls plain functions; it keeps a pointer to the owner for them.
class EditInput;
EditInput* owner_of(EditLine* editor);

class EditInput : public LineInput {
public:
    explicit EditInput(Completer completer) : completer_(std::move(completer)) {
        // The line is typed in the terminal's character set; everything here is UTF-8.
        std::setlocale(LC_CTYPE, "");
        if (std::strcmp(nl_langinfo(CODESET), "UTF-8") != 0) std::setlocale(LC_CTYPE, "C.UTF-8");
        editor_ = el_init("frostread", stdin, stdout, stderr);
        if (editor_ == nullptr) return;
        history_ = history_init();
        HistEvent event{};
        history(history_, &event, H_SETSIZE, kHistory);
        history(history_, &event, H_SETUNIQUE, 1);
        el_set(editor_, EL_CLIENTDATA, this);
        el_set(editor_, EL_PROMPT, &EditInput::prompt_of);
        el_set(editor_, EL_EDITOR, "emacs");
        el_set(editor_, EL_HIST, history, history_);
        el_set(editor_, EL_SIGNAL, 0);
        el_set(editor_, EL_GETCFN, &EditInput::next_character);
        el_set(editor_, EL_ADDFN, "frostread-complete", "complete the word", &EditInput::complete);
        el_set(editor_, EL_BIND, "^I", "frostread-complete", nullptr);
        el_set(editor_, EL_BIND, "^R", "em-inc-search-prev", nullptr);
    }
    EditInput(const EditInput&) = delete;
    EditInput& operator=(const EditInput&) = delete;
    ~EditInput() override {
        if (history_ != nullptr) history_end(history_);
        if (editor_ != nullptr) el_end(editor_);
    }

    [[nodiscard]] bool usable() const { return editor_ != nullptr; }

    Line read(const std::string& prompt) override {
        prompt_ = prompt;
        int length = 0;
        const char* typed = el_gets(editor_, &length);
        if (SessionSignals::caught() != 0) return {"", End::interrupted};
        if (typed == nullptr || length <= 0)
            return {"", SessionSignals::hung_up(STDIN_FILENO) ? End::interrupted : End::closed};
        std::string text(typed, static_cast<std::size_t>(length));
        while (!text.empty() && (text.back() == '\n' || text.back() == '\r')) text.pop_back();
        if (!text.empty()) {
            HistEvent event{};
            history(history_, &event, H_ENTER, text.c_str());
        }
        return {std::move(text), End::none};
    }

private:
    static char* prompt_of(EditLine* editor) { return owner_of(editor)->prompt_.data(); }

    /// One character of the terminal; the signals that end a session come through only here.
    static int next_character(EditLine* /*editor*/, wchar_t* into) {
        std::mbstate_t state{};
        for (;;) {
            if (SessionSignals::caught() != 0 || !SessionSignals::wait_readable(STDIN_FILENO)) return -1;
            char byte = 0;
            const ssize_t count = ::read(STDIN_FILENO, &byte, 1);
            if (count < 0 && errno == EINTR) continue;
            if (count <= 0) return count == 0 ? 0 : -1;
            const std::size_t used = std::mbrtowc(into, &byte, 1, &state);
            if (used == static_cast<std::size_t>(-2)) continue;  // more bytes of it to come
            if (used == static_cast<std::size_t>(-1)) {
                state = std::mbstate_t{};
                continue;
            }
            return 1;
        }
    }

    static unsigned char complete(EditLine* editor, int /*character*/) {
        const LineInfo* line = el_line(editor);
        const std::string before(line->buffer, static_cast<std::size_t>(line->cursor - line->buffer));
        const std::vector<std::string> words = owner_of(editor)->completer_(before);
        if (words.empty()) return CC_REFRESH_BEEP;
        const std::size_t blank = before.find_last_of(" ,=");
        const std::string typed = blank == std::string::npos ? before : before.substr(blank + 1);
        std::string common = words.front();
        for (const std::string& word : words) {
            std::size_t same = 0;
            while (same < common.size() && same < word.size() && common[same] == word[same]) ++same;
            common.resize(same);
        }
        if (words.size() == 1) common += ' ';
        if (common.size() > typed.size()) {
            const std::string rest = common.substr(typed.size());
            return el_insertstr(editor, rest.c_str()) == 0 ? CC_REFRESH : CC_ERROR;
        }
        std::string list = "\n";
        for (const std::string& word : words) list += word + "  ";
        list += "\n";
        std::fwrite(list.data(), 1, list.size(), stdout);
        return CC_REDISPLAY;
    }

    Completer completer_;
    EditLine* editor_ = nullptr;
    History* history_ = nullptr;
    std::string prompt_;

    friend EditInput* owner_of(EditLine* editor);
};

EditInput* owner_of(EditLine* editor) {
    void* owner = nullptr;
    el_get(editor, EL_CLIENTDATA, &owner);
    return static_cast<EditInput*>(owner);
}

}  // namespace

std::unique_ptr<LineInput> make_edit_input(const Completer& completer) {
    auto input = std::make_unique<EditInput>(completer);
    if (!input->usable()) return nullptr;
    return input;
}

bool has_line_editing() {
    return true;
}

}  // namespace frostread::cli

#else

namespace frostread::cli {

std::unique_ptr<LineInput> make_edit_input(const Completer& /*completer*/) {
    return nullptr;
}

bool has_line_editing() {
    return false;
}

}  // namespace frostread::cli

#endif
