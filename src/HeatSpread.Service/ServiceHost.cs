using System.Globalization;
using HeatSpread.Service.Access;
using HeatSpread.Service.Analysis;
using HeatSpread.Service.Comparisons;
using HeatSpread.Service.Dashboards;
using HeatSpread.Service.Distributed;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Jobs.Embedded;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Materials;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Reports;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Studies;
using HeatSpread.Service.Tenants;
using HeatSpread.Service.Viewing;
using HeatSpread.Thermal;
using Microsoft.AspNetCore.Cors.Infrastructure;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Timeouts;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.FileProviders;
using Microsoft.Extensions.Options;
using OpenTelemetry;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;

namespace HeatSpread.Service;

/// <summary>Puts the service together.</summary>
internal static class ServiceHost
{
    public static WebApplication Build(string[] args)
    {
        var builder = WebApplication.CreateBuilder(args);
        bool isDistributed = IsDistributed(builder.Configuration), isWorker = builder.Configuration[Key(nameof(ServiceSettings.Role))] == "worker";
        AddSettings(builder.Services, builder.Configuration);
        AddLimits(builder.Services);
        AddAccess(builder.Services);
        AddOperations(builder.Services, builder.Configuration);
        AddParts(builder.Services);
        if (isDistributed) builder.Services.AddDistributed();
        else builder.Services.AddEmbedded();
        if (builder.Configuration[Key(nameof(ServiceSettings.Role))] != "web") builder.Services.AddHostedService<SolveWorkers>(); // after the queue, so that they stop before it
        builder.Services.AddApiDescription();
        var app = builder.Build();
        if (!isDistributed) app.Services.GetRequiredService<DataFolder>(); // a folder that cannot be used stops the start here, before the host speaks
        Use(app);
        if (isWorker) app.MapOperations();
        else Map(app);
        return app;
    }

    /// <summary>The API keys of the settings as they are, for a command beside the service.</summary>
    public static IKeyStore Keys()
    {
        var builder = WebApplication.CreateBuilder();
        if (IsDistributed(builder.Configuration))
        {
            AddSettings(builder.Services, builder.Configuration);
            builder.Services.AddDistributed();
            return builder.Build().Services.GetRequiredService<IKeyStore>();
        }
        string folder = builder.Configuration[Key(nameof(ServiceSettings.DataFolder))] ?? new ServiceSettings().DataFolder;
        return new KeyFile(Directory.CreateDirectory(Path.GetFullPath(folder, builder.Environment.ContentRootPath)).FullName);
    }

    private static bool IsDistributed(ConfigurationManager configuration) => configuration[Key(nameof(ServiceSettings.Queue))] == "nats";

    private static string Key(string setting) => $"{ServiceSettings.Section}:{setting}";

    private static void AddSettings(IServiceCollection services, ConfigurationManager configuration)
    {
        services.AddOptions<ServiceSettings>().Bind(configuration.GetSection(ServiceSettings.Section), o => o.ErrorOnUnknownConfiguration = true).ValidateOnStart();
        services.AddSingleton<IValidateOptions<ServiceSettings>, ServiceSettingsValidator>();
        services.AddSingleton<IValidateOptions<ServiceSettings>, LimitsValidator>();
        services.AddSingleton<IValidateOptions<ServiceSettings>, RoleValidator>();
        services.ConfigureHttpJsonOptions(o =>
        {
            o.SerializerOptions.TypeInfoResolverChain.Insert(0, ServiceJson.Written);
            o.SerializerOptions.DictionaryKeyPolicy = null;
            o.SerializerOptions.Encoder = ServiceJson.Written.Options.Encoder;
        });
        services.AddSingleton(TimeProvider.System);
    }

    private static void AddLimits(IServiceCollection services)
    {
        services.AddOptions<KestrelServerOptions>().Configure<IOptions<ServiceSettings>>((kestrel, settings) =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = settings.Value.MaximumBodyBytes;
        });
        services.AddOptions<FormOptions>().Configure<IOptions<ServiceSettings>>((form, settings) =>
        {
            form.MultipartBodyLengthLimit = long.MaxValue; // the limit of the body stands
            form.ValueLengthLimit = (int)Math.Min(int.MaxValue, settings.Value.MaximumBodyBytes);
            form.ValueCountLimit = settings.Value.MaximumFiles + 16;
        });
        services.AddRequestTimeouts();
        services.AddOptions<RequestTimeoutOptions>().Configure<IOptions<ServiceSettings>>((timeouts, settings) => timeouts.DefaultPolicy = new RequestTimeoutPolicy
        {
            Timeout = TimeSpan.FromSeconds(settings.Value.RequestTimeoutSeconds),
            WriteTimeoutResponse = context => new Problem(ProblemKind.TimedOut, string.Create(
                CultureInfo.InvariantCulture, $"A request may take at most {settings.Value.RequestTimeoutSeconds} s; a long solve can be asked for with the header Prefer: respond-async.")).ExecuteAsync(context),
        });
    }

    private static void AddAccess(IServiceCollection services)
    {
        services.AddSingleton<IConfigureOptions<KestrelServerOptions>, OpenAddresses>();
        services.AddCors();
        services.AddOptions<CorsOptions>().Configure<IOptions<ServiceSettings>>((cors, settings) => cors.AddDefaultPolicy(policy => policy
            .WithOrigins(settings.Value.CorsOrigins).AllowAnyHeader().AllowAnyMethod().WithExposedHeaders("Location", "ETag", "Retry-After", "Preference-Applied", "X-Request-Id")));
    }

    private static void AddOperations(IServiceCollection services, ConfigurationManager configuration)
    {
        services.AddSingleton<WarmUp>().AddHostedService(s => s.GetRequiredService<WarmUp>());
        services.AddHealthChecks().AddCheck<WarmUp>("warm-up");
        services.AddSingleton<ServiceMetrics>();
        services.AddSingleton<ServiceTraces>();
        var telemetry = services.AddOpenTelemetry().ConfigureResource(r => r.AddService("heatspread"))
            .WithMetrics(metrics => metrics.AddMeter(ServiceMetrics.MeterName).AddAspNetCoreInstrumentation().AddRuntimeInstrumentation().AddPrometheusExporter())
            .WithTracing(traces => traces.AddSource(ServiceTraces.SourceName).AddAspNetCoreInstrumentation());
        if (!string.IsNullOrEmpty(configuration["OTEL_EXPORTER_OTLP_ENDPOINT"])) telemetry.UseOtlpExporter(); // the variable's name is OpenTelemetry's own
        services.AddExceptionHandler<ExceptionProblems>().AddSingleton<ExceptionProblems>().AddProblemDetails();
    }

    private static void AddParts(IServiceCollection services)
    {
        services.AddSingleton<BodyReader>();
        services.AddSingleton<ReadingGate>();
        services.AddTenants();
        services.AddScoped<SolutionRequestReader>();
        services.AddScoped<WorkDesk>();
        services.AddScoped<SolutionDesk>();
        services.AddScoped<StudyRequestReader>();
        services.AddScoped<StudyDesk>();
        services.AddSingleton(s =>
        {
            var settings = s.GetRequiredService<IOptions<ServiceSettings>>().Value;
            return new SolveCapacity(settings.ThreadsPerSolve, Environment.ProcessorCount, settings.ScratchBytes);
        });
        services.AddSingleton<AnalysisGate>();
        services.AddScoped<SolvedNetworks>();
        services.AddScoped<ComparisonDesk>();
        services.AddScoped<SolutionLookup>();
        services.AddSingleton<IWorkKind, SolutionWork>().AddSingleton<IWorkKind, StudyWork>().AddSingleton<WorkKinds>();
        services.AddScoped<TrialDesk>();
        services.AddScoped<ReportDesk>();
        services.AddSingleton<SolveRun>();
        services.AddSingleton<Retention>().AddHostedService(s => s.GetRequiredService<Retention>());
    }

    private static void Use(WebApplication app)
    {
        app.UseMiddleware<RequestId>();
        var settings = app.Services.GetRequiredService<IOptions<ServiceSettings>>();
        app.Use((context, next) => Headers(context, next, settings));
        app.UseMiddleware<AuditTrail>();
        app.Use(HeadAsGet);
        app.UseExceptionHandler();
        app.UseStatusCodePages(StatusProblems.Write);
        // Beside the program, not under the content root: the page is there from whatever folder the service is started.
        var page = new PhysicalFileProvider(Path.Combine(AppContext.BaseDirectory, "wwwroot"));
        app.UseDefaultFiles(new DefaultFilesOptions { FileProvider = page });
        app.UseStaticFiles(new StaticFileOptions { FileProvider = page, OnPrepareResponse = file => file.Context.Response.Headers.CacheControl = "no-cache" }); // else a browser may keep some modules of an earlier build
        app.UseRouting();
        app.UseCors();
        app.UseMiddleware<AccessCheck>();
        app.UseRequestTimeouts();
    }

    private static void Map(WebApplication app)
    {
        app.MapLayouts();
        app.MapSolutions();
        app.MapSolutionEvents();
        app.MapFields();
        app.MapAnalysis();
        app.MapViewing();
        app.MapTrials();
        app.MapReports();
        app.MapComparisons();
        app.MapStudies();
        app.MapEmbed();
        app.MapLatest();
        app.MapMaterials();
        app.MapAccess();
        app.MapOperations();
        app.MapApiDescription();
    }

    // Whatever can be had by GET can be asked for by HEAD (RFC 9110, 9.3.2). The server itself leaves the body of such an answer away.
    private static Task HeadAsGet(HttpContext context, RequestDelegate next)
    {
        if (HttpMethods.IsHead(context.Request.Method)) context.Request.Method = HttpMethods.Get;
        return next(context);
    }

    // Everything the page needs comes from here, and nothing here but the embeddable view is to be framed or guessed at by a browser. Set at the last moment, because the
    // handling of an exception clears the headers.
    private static Task Headers(HttpContext context, RequestDelegate next, IOptions<ServiceSettings> settings)
    {
        context.Response.OnStarting(() =>
        {
            var headers = context.Response.Headers;
            string framers = context.Request.Path.StartsWithSegments("/embed") ? string.Join(' ', settings.Value.EmbedOrigins.Prepend("'self'")) : "'none'";
            if (headers.ContentSecurityPolicy.Count == 0) headers.ContentSecurityPolicy = $"default-src 'self'; object-src 'none'; frame-ancestors {framers}; base-uri 'none'; form-action 'self'";
            headers["Cross-Origin-Opener-Policy"] = "same-origin";
            headers["Permissions-Policy"] = "camera=(), geolocation=(), microphone=()";
            headers.XContentTypeOptions = "nosniff";
            headers["Referrer-Policy"] = "no-referrer";
            return Task.CompletedTask;
        });
        return next(context);
    }
}
