// The library from C++17: handles that end themselves, failures as exceptions, a dot of one's own as a lambda.
//
//     embed_cpp film.png
#include <dotwright.h>

#include <cmath>
#include <cstdint>
#include <iostream>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

// Each handle with the call that ends it.
template <auto free>
struct End {
    template <class T>
    void operator()(T *handle) const { free(handle); }
};
using Curve = std::unique_ptr<dw_curve, End<dw_curve_free>>;
using Request = std::unique_ptr<dw_request, End<dw_request_free>>;
using Screen = std::unique_ptr<dw_screen, End<dw_screen_free>>;
using Writer = std::unique_ptr<dw_writer, End<dw_writer_free>>;

struct Failure : std::runtime_error {
    dw_status status;
    explicit Failure(dw_status status) : std::runtime_error(dw_last_error()), status(status) {}
};

void check(dw_status status)
{
    if (status != DW_OK)
        throw Failure(status);
}

// Outputs come last, so that one line serves every call that hands out a handle.
template <class Handle, class Call, class... Inputs>
Handle make(Call call, Inputs... inputs)
{
    typename Handle::pointer handle = nullptr;
    check(call(inputs..., &handle));
    return Handle(handle);
}

// Hands over any callable. It must outlive the request; noexcept, since nothing may be thrown through the library.
template <class Dot>
void spot(dw_request *request, Dot &dot)
{
    check(dw_request_spot(
        request, [](double x, double y, void *user) noexcept { return (*static_cast<Dot *>(user))(x, y); }, &dot));
}

struct Film {
    std::size_t width, height, stride;
    std::vector<std::uint8_t> bits;

    Film(std::size_t width, std::size_t height)
        : width(width), height(height), stride((width + 7) / 8), bits(stride * height) {}
    dw_film_out out() { return {sizeof(dw_film_out), bits.data(), bits.size(), stride, width, height}; }
    dw_film view() const { return {sizeof(dw_film), bits.data(), bits.size(), stride, width, height}; }
};

Film run(const dw_screen *screen, const dw_plate &plate)
{
    std::size_t width = 0, height = 0;
    check(dw_plate_film_size(&plate, &width, &height));
    Film film(width, height);
    const dw_film_out out = film.out();
    check(dw_screen_run_threaded(screen, &plate, plate.x, plate.y, &out));
    return film;
}

void embed(const char *target)
{
    const double per_inch = 1200;
    const std::size_t width = 1200, height = 600;
    std::vector<float> samples(width * height);
    for (std::size_t i = 0; i < samples.size(); i++)
        samples[i] = static_cast<float>(i % width) / (width - 1);

    // Four-pointed stars; corners of the cell are ±1, and ink comes first where the value is highest.
    const double points = 0.6;
    auto star = [points](double x, double y) { return -std::pow(std::abs(x), points) - std::pow(std::abs(y), points); };
    auto request = make<Request>(dw_request_new, per_inch, per_inch);
    check(dw_request_lines(request.get(), 30));
    spot(request.get(), star);
    auto screen = make<Screen>(dw_screen_build, request.get());
    // Another plate's dots, on the same lattice, in the gaps of the first's.
    auto gaps = make<Screen>(dw_screen_again, screen.get(), std::uint32_t{DW_MODE_INVERTED}, nullptr);

    dw_screen_info info{};
    info.struct_size = sizeof info;
    check(dw_screen_get_info(screen.get(), &info));
    std::cout << info.lines_per_inch << " lines/inch at " << info.degrees << " degrees, a brick of " << info.brick_width
              << " x " << info.brick_height << '\n';

    dw_plate plate{}; // film resolution, at film pixel (0, 0)
    plate.struct_size = sizeof plate;
    plate.sample = DW_SAMPLE_F32;
    plate.samples = samples.data();
    plate.stride = width * sizeof(float);
    plate.bytes = samples.size() * sizeof(float);
    plate.width = width;
    plate.height = height;
    const Film film = run(screen.get(), plate), other = run(gaps.get(), plate);
    std::uint64_t ink = 0, both = 0;
    const dw_film view = film.view();
    check(dw_film_count(&view, &ink));
    // Left of the middle the two tones fit beside each other, so no dot lies on another.
    for (std::size_t y = 0; y < height; y++)
        for (std::size_t x = 0; x < width / 2 / 8; x++)
            both += (film.bits[y * film.stride + x] & other.bits[y * film.stride + x]) != 0;
    std::cout << 100.0 * static_cast<double>(ink) / static_cast<double>(width * height) << " % ink, " << both << " overlaps\n";
    if (both != 0)
        throw std::logic_error("dots lie on each other");

    // A file appears when it is finished; a writer that ends before leaves nothing.
    auto writer = make<Writer>(dw_writer_new, target, std::uint32_t{DW_FORMAT_PNG}, width, height, per_inch, per_inch);
    check(dw_writer_rows(writer.get(), &view));
    check(dw_writer_finish(writer.get()));

    try {
        make<Curve>(dw_curve_through, nullptr, nullptr, std::size_t{2});
    } catch (const Failure &failure) {
        std::cout << "refused: " << failure.what() << '\n';
    }
}

} // namespace

int main(int count, char **words)
try {
    if (count != 2)
        throw std::invalid_argument("usage: embed_cpp film.png");
    embed(words[1]);
} catch (const std::exception &failure) {
    std::cerr << failure.what() << '\n';
    return 1;
}
